"""The shop book: one PDF file to read, not to cut from."""

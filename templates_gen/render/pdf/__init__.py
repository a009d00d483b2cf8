"""A folio as a PDF file to print: pages, text, tables, charts."""

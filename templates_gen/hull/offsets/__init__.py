"""Lines as a table of offsets, and the sections that are joined from it."""

"""A plank measured on a boat that has no drawing: its template, tables, boards, and the form to measure it by."""

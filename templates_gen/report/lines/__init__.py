"""Findings about the lines: what a table gave, sections with too few figures, figures that are not fair."""

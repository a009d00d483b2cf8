"""Findings about what was measured on the boat."""

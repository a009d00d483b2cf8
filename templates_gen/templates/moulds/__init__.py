"""Moulds: a half of each, full size, and the tables from which they are set up and checked."""

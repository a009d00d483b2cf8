"""Strakes laid flat: the templates, their tables, and a strake taken off with a spiling batten."""

"""Patterns of what is put into the planked boat."""

"""Sheets, margins, tiles and registration marks; nothing here knows of a file format."""

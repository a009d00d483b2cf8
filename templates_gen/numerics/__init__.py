"""Curves, directions and flattening: arrays in, arrays out; nothing here knows of boats."""

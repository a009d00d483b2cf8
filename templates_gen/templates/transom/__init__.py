"""Transoms: the half in its true shape, and the gauges of its edge."""

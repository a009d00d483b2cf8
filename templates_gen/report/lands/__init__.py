"""Findings about the lands: edges and laps, how they were lined off, whether they run fair."""

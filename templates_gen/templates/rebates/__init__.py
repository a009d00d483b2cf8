"""Rebates: stems, their gauges, the gauges of the keel, a flat bottom, and their tables."""

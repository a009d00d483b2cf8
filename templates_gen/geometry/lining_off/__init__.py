"""Lining off: where the lands run when the builder leaves it to the tool, chosen by least squares."""

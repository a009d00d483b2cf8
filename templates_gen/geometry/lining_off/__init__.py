"""Lining off: where the lands run when the builder leaves it to the program, chosen by least squares."""

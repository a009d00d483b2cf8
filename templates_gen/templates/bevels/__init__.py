"""Lands: the gauges of their bevels, take-off strips, geralds and the tables of all of them."""

"""Seeded hulls of every kind that is built clinker, and checks of what the program makes of them."""

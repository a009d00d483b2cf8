"""Findings about the timbers: rebates, the hog, moulds and transoms."""

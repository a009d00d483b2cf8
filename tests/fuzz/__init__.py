"""Hostile input, made without end: sound files and commands that are spoilt at random, each run under a guard."""

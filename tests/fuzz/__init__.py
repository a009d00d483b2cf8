"""Hostile input, made without end: sound files and commands that are spoilt at random, each run under a guard."""

import os

# The number libraries run in one thread, as under the command line; they read this when they are loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

"""A strake taken off with a spiling batten: laid over the computed one, and what its differences look like."""

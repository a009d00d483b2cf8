"""What is usual: bands that every figure of a hull file lies in, unless somebody slipped."""

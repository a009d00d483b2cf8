"""Files as they reach the disk."""

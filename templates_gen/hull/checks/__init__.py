"""What the keys of a hull file must be, one with another."""

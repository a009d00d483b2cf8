"""Which figures of a hull's lines are not fair, and lines made fair within a tolerance."""

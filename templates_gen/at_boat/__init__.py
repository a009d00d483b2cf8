"""Work at the boat: from what the builder measured there to the next templates."""

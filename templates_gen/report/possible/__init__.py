"""What is physically possible: bounds that every printed figure of a boat must keep."""

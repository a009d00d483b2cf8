"""What the boat's geometry says, as plain data: measurements for programs, findings for the builder."""

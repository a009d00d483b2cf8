"""Work at the boat: what to do strake by strake, what to buy for it, and with what allowances."""

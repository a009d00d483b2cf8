"""A plank that was measured on the boat, where there is no drawing: its edges made fair, its lands, its outline."""

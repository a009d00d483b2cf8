"""The hull file: its model, its reader and the faults it can have."""

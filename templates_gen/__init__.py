"""Full-size templates for planking a clinker boat, computed from one hull file."""

"""Full-size templates for planking a clinker boat, computed from one hull file."""

__version__ = "0.1.0"

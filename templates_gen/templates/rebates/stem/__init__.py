"""A stem or sternpost: its profile with the marks across it, what is drawn round it, and its gauges."""

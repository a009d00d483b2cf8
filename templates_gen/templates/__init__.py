"""One module for each kind of template: from the boat's geometry to full-size pieces."""

"""The boat in three dimensions and its planks laid flat; nothing here knows of ink."""

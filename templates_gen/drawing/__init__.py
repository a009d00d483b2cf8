"""Full-size drawings in two dimensions, in millimetres; nothing here knows of paper."""

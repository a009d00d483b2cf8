"""The files in which a builder writes down what was measured on the boat."""

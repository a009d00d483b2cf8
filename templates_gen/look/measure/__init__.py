"""The view of the page in which a builder writes down what was measured on the boat."""

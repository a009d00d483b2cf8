"""A page to look at: the planked boat in a browser, in one file that needs no network."""

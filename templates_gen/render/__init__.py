"""Writers of files, each with one outside library."""

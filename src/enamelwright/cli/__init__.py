"""The command line: one noun a file, built on the same questions as every other door."""

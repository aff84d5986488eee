"""One file a revision, in order of their names."""

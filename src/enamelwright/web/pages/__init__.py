"""One file a page; each declares its own place in the navigation."""

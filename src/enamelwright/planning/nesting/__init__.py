"""Lay flat outlines side by side with a clearance: a quick grid search, a slower strip search, an own check."""

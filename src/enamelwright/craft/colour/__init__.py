"""Colour over metal: what a stack will look like, what becomes of it in the fire, which jars come near a wish."""

"""Kiln, firing cycle and radiation."""

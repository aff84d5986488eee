"""Baths that clean oxide: what is in them, what they still do, and what becomes of them when spent."""

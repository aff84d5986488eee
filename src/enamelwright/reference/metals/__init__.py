"""Metal sheet: expansion, strength, heat data, melting."""

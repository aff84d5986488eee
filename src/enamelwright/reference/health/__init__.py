"""Health: baths and their waste, limits, dust, glare, burns and what may be sold where."""

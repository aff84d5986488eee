"""Dust, glare, heat, air and what may be sold where: screening figures against named limits, never a clearance."""

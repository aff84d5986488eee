"""Enamel glass: composition models, classes, moduli, fracture."""

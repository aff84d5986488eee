"""Light in layers of glass over metal, colours of light, and colours read back from a photograph."""

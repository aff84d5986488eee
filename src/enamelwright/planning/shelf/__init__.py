"""What fits on the kiln's shelf at once, and where each piece stands."""

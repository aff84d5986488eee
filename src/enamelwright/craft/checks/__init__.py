"""Checks: what the laws of physics say about a piece, as figures and verdicts."""

"""Bytes become objects of the trade and back; limits and distrust live here and nowhere else."""

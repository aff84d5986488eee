"""The laws the bench works by: pure functions and small frozen classes over SI floats and arrays.

No file is read, nothing is remembered and no material is known here: every property comes in as an
argument.  Array arguments may carry a leading axis of draws.
"""

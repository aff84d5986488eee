"""The invented demonstration workshop: two months of records made by a hidden truth, in a database of their own.

Every jar, price and number in this folder is synthetic. `truth` is read by the generator and the scorer alone.
"""

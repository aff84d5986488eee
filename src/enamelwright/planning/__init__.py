"""The day, the shelf, blanks, series, price and stock: pure planning, no disk and no door."""

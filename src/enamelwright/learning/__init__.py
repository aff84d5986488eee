"""What the record teaches: fits of jars, kilns, bow and tiles; faults; control charts; the next tile."""

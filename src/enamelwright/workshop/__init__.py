"""What a maker does in the workshop: use cases that join the record with the questions, one noun a file."""

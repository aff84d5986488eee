"""Paper: typst templates and data become PDF bytes; the same plan always gives the same bytes."""

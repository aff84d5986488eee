"""Our own drawings as SVG text, and chart specifications: same picture on page and card."""

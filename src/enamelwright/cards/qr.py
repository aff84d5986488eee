"""The QR code of a piece number, as a drawing that is the same every time."""

from __future__ import annotations


def qr_svg(number: str) -> str:
    """Draw the QR code of a number (ISO/IEC 18004, by segno), as one path without a clock or an id."""
    import segno

    code = segno.make(number, error="m", micro=False)
    rows = [bytes(row) for row in code.matrix]
    side = len(rows)
    cells = "".join(f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, dark in enumerate(row) if dark)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{side}mm" height="{side}mm" viewBox="0 0 {side} {side}">'
        f'<path d="{cells}" fill="#000000" shape-rendering="crispEdges"/></svg>'
    )

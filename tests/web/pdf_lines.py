"""The lines a PDF draws, in millimetres of paper, read from its operators: what a ruler would measure on the print.

Source: ISO 32000-1:2008, 8.3 (coordinate systems: 1/72 inch), 8.5.2 (path construction), 8.10 (form XObjects).
"""

from __future__ import annotations

from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream

Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]
#: Millimetres of a point.
MM = 25.4 / 72
SAME: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def lines_of(reader: PdfReader, page: int) -> list[list[Point]]:
    """Return every line that is drawn on a page as its corner points; of curves, the ends of their pieces."""
    told = reader.pages[page]
    return _run(told.get_contents(), told["/Resources"], SAME, reader)


def _run(stream: Any, resources: Any, matrix: Matrix, reader: PdfReader) -> list[list[Point]]:
    found: list[list[Point]] = []
    stack: list[Matrix] = []
    line: list[Point] = []
    content = stream if isinstance(stream, ContentStream) else ContentStream(stream, reader)
    for operands, operator in content.operations:
        numbers = [float(one) for one in operands] if operator in _NUMBERED else []
        if operator == b"q":
            stack.append(matrix)
        elif operator == b"Q":
            matrix = stack.pop()
        elif operator == b"cm":
            matrix = _times(tuple(numbers), matrix)  # type: ignore[arg-type]
        elif operator == b"m":
            if len(line) > 1:
                found.append(line)
            line = [_at(matrix, numbers[0], numbers[1])]
        elif operator in {b"l", b"c", b"v", b"y"}:
            line.append(_at(matrix, numbers[-2], numbers[-1]))
        elif operator == b"h":
            line.append(line[0])
        elif operator == b"re":
            x, y, w, h = numbers
            corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y))
            found.append([_at(matrix, *corner) for corner in corners])
        elif operator in _PAINTED:
            if len(line) > 1:
                found.append(line)
            line = []
        elif operator == b"Do":
            form = resources["/XObject"][operands[0]].get_object()
            if form["/Subtype"] == "/Form":
                inner = _times(tuple(float(one) for one in form.get("/Matrix", SAME)), matrix)  # type: ignore[arg-type]
                found += _run(form, form.get("/Resources", resources), inner, reader)
    return found


_NUMBERED = {b"cm", b"m", b"l", b"c", b"v", b"y", b"re"}
_PAINTED = {b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"n"}


def _times(one: Matrix, other: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def _at(matrix: Matrix, x: float, y: float) -> Point:
    a, b, c, d, e, f = matrix
    return ((a * x + c * y + e) * MM, (b * x + d * y + f) * MM)

"""The words a PDF prints, each run with the box it takes in millimetres of paper, read from its operators and fonts.

Source: ISO 32000-1:2008, 9.4 (text objects: 9.4.3 showing, 9.4.4 glyph positions), 9.7.4.3 (widths of glyphs),
8.10 (form XObjects).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream

Matrix = tuple[float, float, float, float, float, float]
#: Millimetres of a point.
MM = 25.4 / 72
SAME: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
#: How far a letter without a tail stands below and above its line, over the size of the type: less than any type has.
UNDER, OVER = 0.0, 0.65


@dataclass(frozen=True)
class Run:
    """Words that are shown at once.

    Parameters
    ----------
    words : str
        What they are.
    left, bottom, right, top : float
        The box they take [mm], from the lower left corner of the page.
    size : float
        Of the type [mm].
    """

    words: str
    left: float
    bottom: float
    right: float
    top: float
    size: float

    def over(self, other: Run, slack: float = 0.2) -> bool:
        """Whether two runs are printed on one another, by more than a hair [mm]."""
        across = min(self.right, other.right) - max(self.left, other.left)
        return across > slack and min(self.top, other.top) - max(self.bottom, other.bottom) > slack


def runs_of(reader: PdfReader, page: int) -> list[Run]:
    """Return every run of a page that has a sign in it."""
    told = reader.pages[page]
    found = _shown(told.get_contents(), told["/Resources"], SAME, reader)
    return [one for one in found if one.words.strip("\u200b \u00a0")]


def badly_set(reader: PdfReader, margin: float = 5.0) -> list[str]:
    """Return what is wrong with the pages of a file: words over the edge of the paper, or over one another.

    Parameters
    ----------
    reader : PdfReader
        The file.
    margin : float
        What no printer prints on [mm].
    """
    wrong = []
    for number, page in enumerate(reader.pages):
        wide, high = (float(one) * MM for one in (page.mediabox.width, page.mediabox.height))
        runs = sorted(runs_of(reader, number), key=lambda one: -one.bottom)
        for one in runs:
            if one.left < margin or one.right > wide - margin or one.bottom < margin or one.top > high - margin:
                wrong.append(f"page {number + 1}: '{one.words}' is over the edge")
        wrong += [
            f"page {number + 1}: '{one.words}' is over '{other.words}'"
            for one, other in combinations(runs, 2) if one.over(other)
        ]  # fmt: skip
    return wrong


def _shown(stream: Any, resources: Any, matrix: Matrix, reader: PdfReader) -> list[Run]:
    found: list[Run] = []
    stack: list[tuple[Matrix, _Type]] = []
    now = _Type()
    text = line = SAME
    content = stream if isinstance(stream, ContentStream) else ContentStream(stream, reader)
    for operands, operator in content.operations:
        if operator == b"q":
            stack.append((matrix, now))
        elif operator == b"Q":
            matrix, now = stack.pop()
        elif operator == b"cm":
            matrix = _times(tuple(map(float, operands)), matrix)  # type: ignore[arg-type]
        elif operator == b"BT":
            text = line = SAME
        elif operator == b"Tm":
            text = line = tuple(map(float, operands))  # type: ignore[assignment]
        elif operator in {b"Td", b"TD"}:
            text = line = _times((1, 0, 0, 1, float(operands[0]), float(operands[1])), line)
        elif operator == b"Tf":
            now = _Type(resources["/Font"][operands[0]].get_object(), float(operands[1]))
        elif operator in {b"Tj", b"TJ"}:
            parts = operands[0] if operator == b"TJ" else [operands[0]]
            words, length = now.measured(parts)
            found.append(_box(words, length, now.size, _times(text, matrix)))
            text = _times((1, 0, 0, 1, length, 0), text)
        elif operator == b"Do":
            form = resources["/XObject"][operands[0]].get_object()
            if form["/Subtype"] == "/Form":
                inner = _times(tuple(float(one) for one in form.get("/Matrix", SAME)), matrix)  # type: ignore[arg-type]
                found += _shown(form, form.get("/Resources", resources), inner, reader)
    return found


class _Type:
    """A font at a size: how wide what is shown is, and what it says."""

    def __init__(self, font: Any = None, size: float = 0.0) -> None:
        self.size, self._widths, self._signs = size, {}, {}
        if font is not None:
            inner = font["/DescendantFonts"][0].get_object()
            self._widths = _widths(inner.get("/W", []))
            self._usual = float(inner.get("/DW", 1000))
            self._signs = _signs(font["/ToUnicode"].get_object().get_data().decode("latin-1"))

    def measured(self, parts: Any) -> tuple[str, float]:
        """Return the words and the length of what is shown, in units of the text."""
        words, length = "", 0.0
        for part in parts:
            if isinstance(part, int | float):
                length -= float(part) / 1000 * self.size
                continue
            raw = part if isinstance(part, bytes) else part.original_bytes
            for at in range(0, len(raw) - 1, 2):
                code = raw[at] * 256 + raw[at + 1]
                words += self._signs.get(code, "")
                length += self._widths.get(code, self._usual) / 1000 * self.size
        return words, length


def _widths(told: Any) -> dict[int, float]:
    """Read widths as a font lists them: a code with the widths from it on, or two codes and the width of all between."""
    found, at = {}, 0
    while at < len(told):
        first, second = int(told[at]), told[at + 1]
        if isinstance(second, list):
            found |= {first + n: float(width) for n, width in enumerate(second)}
            at += 2
        else:
            found |= {code: float(told[at + 2]) for code in range(first, int(second) + 1)}
            at += 3
    return found


def _signs(table: str) -> dict[int, str]:
    """Read which sign each code is from the table a font has for who copies text out of it."""
    found, inside = {}, ""
    for line in table.splitlines():
        if line.strip().endswith(("beginbfchar", "beginbfrange")):
            inside = line.strip().split()[-1].removeprefix("begin")
        elif line.strip().startswith("end"):
            inside = ""
        elif inside:
            codes = [one.strip("<>[]") for one in line.split() if one.strip("<>[]")]
            if inside == "bfchar":
                found[int(codes[0], 16)] = bytes.fromhex(codes[1]).decode("utf-16-be")
            else:
                first, last, sign = codes[:3]
                found |= {
                    code: chr(int(sign, 16) + code - int(first, 16))
                    for code in range(int(first, 16), int(last, 16) + 1)
                }
    return found


def _box(words: str, length: float, size: float, matrix: Matrix) -> Run:
    """Return the box of words whose line begins where a matrix says; turned words take the box around them."""
    a, b, c, d, e, f = matrix
    corners = [
        ((a * x + c * y + e) * MM, (b * x + d * y + f) * MM)
        for x in (0.0, length) for y in (-UNDER * size, OVER * size)
    ]  # fmt: skip
    x, y = zip(*corners, strict=True)
    return Run(words, min(x), min(y), max(x), max(y), size * (c * c + d * d) ** 0.5 * MM)


def _times(one: Matrix, other: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)

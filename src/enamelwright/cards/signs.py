"""Which signs our type can draw, read from the font file itself; the rest become a question mark."""

from __future__ import annotations

import struct
import unicodedata
from functools import lru_cache
from pathlib import Path

from enamelwright.errors import HouseError

#: The face every text falls back to; what it lacks cannot be printed.
LAST_FACE = Path(__file__).parent / "fonts" / "IBMPlexSans_400Regular.ttf"
BOLD_FACE = Path(__file__).parent / "fonts" / "IBMPlexSans_600SemiBold.ttf"
STAND_IN = "?"


@lru_cache(maxsize=8)
def covered(font: Path) -> frozenset[int]:
    """Return the code points a TrueType file maps to a glyph.

    Source: OpenType specification 1.9, table ``cmap``, format 4 (segment mapping to delta values).

    Parameters
    ----------
    font : Path
        A ``.ttf`` file.

    Raises
    ------
    HouseError
        When the file has no such table.
    """
    raw = font.read_bytes()
    (tables,) = struct.unpack(">H", raw[4:6])
    for n in range(tables):
        tag, _, offset, _ = struct.unpack(">4sLLL", raw[12 + 16 * n : 28 + 16 * n])
        if tag == b"cmap":
            return _format_four(raw, offset)
    raise HouseError("a font without a table of signs.", "Install again.", font.name)


def _format_four(raw: bytes, cmap: int) -> frozenset[int]:
    found: set[int] = set()
    (count,) = struct.unpack(">H", raw[cmap + 2 : cmap + 4])
    for n in range(count):
        (start,) = struct.unpack(">L", raw[cmap + 8 + 8 * n : cmap + 12 + 8 * n])
        at = cmap + start
        kind, _, _, doubled = struct.unpack(">HHHH", raw[at : at + 8])
        if kind != 4:
            continue
        segments = doubled // 2
        lists = struct.unpack(f">{4 * segments + 1}H", raw[at + 14 : at + 14 + 2 * (4 * segments + 1)])
        ends, starts = lists[:segments], lists[segments + 1 : 2 * segments + 1]
        deltas, ranges = lists[2 * segments + 1 : 3 * segments + 1], lists[3 * segments + 1 :]
        for index, (first, last, delta, skip) in enumerate(zip(starts, ends, deltas, ranges, strict=True)):
            for code in range(first, last + 1):
                glyph = code + delta
                if skip:
                    where = at + 16 + 6 * segments + 2 * index + skip + 2 * (code - first)
                    (glyph,) = struct.unpack(">H", raw[where : where + 2])
                if glyph & 0xFFFF and code != 0xFFFF:
                    found.add(code)
    return frozenset(found)


def drawable(text: str) -> str:
    """Return `text` with every sign the type lacks replaced, accents joined, and controls taken out."""
    known = covered(LAST_FACE) & covered(BOLD_FACE)
    joined = unicodedata.normalize("NFC", text)
    kept = []
    for sign in joined:
        if sign.isspace():
            kept.append(" ")
        elif ord(sign) in known:
            kept.append(sign)
        elif unicodedata.category(sign)[0] not in "CM":
            kept.append(STAND_IN)
    return "".join(kept)

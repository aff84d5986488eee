"""Reads colours that an instrument measured from a CSV table: L*, a*, b*, or a reflectance at many wavelengths."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import get_args

import numpy as np

from enamelwright.craft.colour.fired_tile import Taking
from enamelwright.craft.colour.light import LIGHTS
from enamelwright.files.errors import FileError
from enamelwright.files.sheet import parse_sheet
from enamelwright.physics.colour.colour_space import BANDS

#: Most colours of one file.
MOST_COLOURS = 5000
#: Shortest and longest wavelength a spectrum must reach, and its widest step [nm]: beyond, ends are held level.
FROM, TO, WIDEST = 400, 700, 20
#: A reflectance above this is one in per cent, and above that none at all.
PERCENT_FROM, MOST_SHARE = 2.0, 1.5
_BAND = re.compile(r"^(?:(?:spectral|spec|r|nm|w|reflectance)[\s_]*)*(\d{3})(?:[.,]0+)?\s*(?:nm)?$", re.IGNORECASE)
_NAMES = ("name", "sample", "sample name", "sample_name", "sample id", "sample_id", "tile", "label", "id")
_LAB = (("l", "l*", "lab_l", "lightness"), ("a", "a*", "lab_a"), ("b", "b*", "lab_b"))
_LIGHT, _OBSERVER = ("light", "illuminant"), ("observer", "angle")
_TAKEN = ("taken", "geometry", "measurement geometry", "measurement_geometry", "mode")
#: What instruments call the ways of measuring.
_TAKINGS: Mapping[str, Taking] = {
    "45/0": "lamps at 45 degrees", "0/45": "lamps at 45 degrees", "45°/0°": "lamps at 45 degrees",
    "0°/45°": "lamps at 45 degrees", "45/0 circumferential": "lamps at 45 degrees", "sci": "sphere with gloss",
    "rsin": "sphere with gloss", "specular included": "sphere with gloss", "sce": "sphere without gloss",
    "rsex": "sphere without gloss", "specular excluded": "sphere without gloss",
}  # fmt: skip


@dataclass(frozen=True)
class Measured:
    """One colour as an instrument gave it.

    Attributes
    ----------
    name : str
        What was measured.
    lab : tuple of float or None
        L*, a*, b* under `light` for `observer`.
    reflectance : tuple of float or None
        At the 36 bands, 0 to 1.
    light, observer, taken : str
        Name of the light; degrees of the observer; how it was lit and whether gloss is in it. Light and
        observer are empty for a reflectance, which holds for all.
    words : tuple of str
        What was done to it.
    """

    name: str
    lab: tuple[float, float, float] | None
    reflectance: tuple[float, ...] | None
    light: str
    observer: str
    taken: Taking
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class Told:
    """What holds for a whole file unless its columns say otherwise; empty where nobody said."""

    light: str = ""
    observer: str = ""
    taken: str = ""


def read_colour_csv(data: bytes, where: str = "", told: Told | None = None) -> tuple[Measured, ...]:
    """Read the bytes of a CSV file of colours.

    Parameters
    ----------
    data : bytes
        The whole file; any usual separator, decimal points or commas.
    where : str
        Its name, for messages.
    told : Told, optional
        Light, observer and geometry, where the file has no columns for them.

    Raises
    ------
    FileError
        When it holds no colours, wavelengths are missing, a number cannot be read, or L*, a*, b* come
        without light, observer and geometry.
    """
    sheet = parse_sheet(data, where)
    lines = [(f"{where}, line {line}" if where else f"line {line}", cells) for line, cells in sheet.rows]
    return measured_of(sheet.headings, lines, told or Told(), where, sheet.decimal)


def measured_of(
    headings: Sequence[str], lines: Sequence[tuple[str, Sequence[str]]], told: Told, where: str, decimal: str = ""
) -> tuple[Measured, ...]:
    """Turn the cells of a table into colours.

    Parameters
    ----------
    headings : sequence of str
        Of the columns.
    lines : sequence of (str, sequence of str)
        Place of each row for messages, and its cells.
    told : Told
        What holds for the whole file.
    where : str
        Name of the file, for messages.
    decimal : str
        Sign in numbers, where it is known.

    Raises
    ------
    FileError
        As :func:`read_colour_csv` says.
    """
    if not lines:
        raise FileError("it holds no colours.", "Export it again with its readings.", where)
    if len(lines) > MOST_COLOURS:
        raise FileError(f"it holds more than {MOST_COLOURS} colours.", "Cut it up.", where)
    low = [heading.strip().lower() for heading in headings]
    bands = {int(found[1]): n for n, heading in enumerate(headings) if (found := _BAND.match(heading.strip()))}
    columns = [next((n for n, h in enumerate(low) if h in names), None) for names in _LAB]
    if len(bands) < 2 and None in columns:
        raise FileError("it has neither columns L, a, b nor columns of wavelengths.", "Export one or the other.", where)
    if len(bands) >= 2:
        _judge_bands(sorted(bands), where)
    result = []
    for number, (place, cells) in enumerate(lines, 1):
        row = {name: cells[n].strip() for n, name in enumerate(low) if n < len(cells)}
        name = next((row[key] for key in _NAMES if row.get(key)), f"reading {number}")
        taken = _taken(next((row[key] for key in _TAKEN if row.get(key)), told.taken), place)
        if len(bands) >= 2:
            spectrum, words = _spectrum(bands, cells, decimal, place)
            result.append(Measured(name[:60], None, spectrum, "", "", taken, words))
            continue
        light = next((row[key] for key in _LIGHT if row.get(key)), told.light)
        observer = next((row[key] for key in _OBSERVER if row.get(key)), told.observer)
        lab = tuple(_number(cells[n] if n is not None and n < len(cells) else "", decimal, place) for n in columns)
        result.append(_lab(name, lab, light, observer, taken, place))
    return tuple(result)


def _judge_bands(bands: Sequence[int], where: str) -> None:
    if bands[0] > FROM or bands[-1] < TO:
        raise FileError(
            f"its wavelengths go from {bands[0]} to {bands[-1]} nm, and {FROM} to {TO} are needed.",
            "Export the whole spectrum.", where,
        )  # fmt: skip
    steps = np.diff(bands)
    usual = int(np.min(steps))
    for n, step in enumerate(steps):
        if step > max(usual, 1) or step > WIDEST:
            raise FileError(
                f"wavelengths between {bands[n]} and {bands[n + 1]} nm are missing.",
                "Export the whole spectrum.",
                where,
            )


def _spectrum(
    bands: Mapping[int, int], cells: Sequence[str], decimal: str, place: str
) -> tuple[tuple[float, ...], tuple[str, ...]]:
    at = sorted(bands)
    values = np.array([_number(cells[bands[nm]] if bands[nm] < len(cells) else "", decimal, place) for nm in at])
    words = []
    if values.max() > PERCENT_FROM:
        values, words = values / 100, ["taken as per cent"]
    if values.min() < -(1 / 100) or values.max() > MOST_SHARE:
        raise FileError("a reflectance is below 0 or far above 1.", "Check what was exported.", place)
    if at[0] > round(BANDS[0] * 1e9) or at[-1] < round(BANDS[-1] * 1e9):
        words.append(f"beyond {at[0]}-{at[-1]} nm held level")
    shared = np.interp(BANDS * 1e9, at, np.clip(values, 0.0, None))
    return tuple(float(one) for one in shared), tuple(words)


def _lab(name: str, lab: tuple[float, ...], light: str, observer: str, taken: Taking, place: str) -> Measured:
    missing = [word for word, has in (("light", light), ("observer", observer)) if not has]
    if taken == "unknown":
        missing.append("geometry")
    if missing:
        raise FileError(
            f"L*, a*, b* mean nothing without {' and '.join(missing)}.",
            "Say them, e.g. D50, 2 degrees, 45/0, or add columns for them.", place,
        )  # fmt: skip
    shown = next((known for known in LIGHTS if known.lower() == light.lower().replace(" ", "").replace("_", "-")), None)
    if shown is None:
        raise FileError(f"the light '{light[:20]}' is not known.", f"Use one of {', '.join(LIGHTS)}.", place)
    degrees = re.match(r"^\s*(2|10)\b|^\s*(2|10)\s*(?:°|deg)", observer)
    if degrees is None:
        raise FileError(f"the observer '{observer[:20]}' is not known.", "Use 2 or 10 degrees.", place)
    lightness, a, b = lab
    if not (0 <= lightness <= 110 and abs(a) <= 150 and abs(b) <= 150):
        raise FileError("this is no L*, a*, b*.", "Check the columns.", place)
    return Measured(name[:60], (lightness, a, b), None, shown, degrees[1] or degrees[2], taken)


def _taken(text: str, place: str) -> Taking:
    plain = text.strip().lower()
    if not plain:
        return "unknown"
    found = next((taking for taking in get_args(Taking) if taking == plain), None) or _TAKINGS.get(plain)
    if found is None:
        raise FileError(
            f"the geometry '{text[:30]}' is not known.", "Use 45/0, specular included or specular excluded.", place
        )
    return found


def _number(cell: str, decimal: str, place: str) -> float:
    text = cell.strip().strip('"')
    if decimal == "," or ("," in text and "." not in text):
        text = text.replace(".", "").replace(",", ".")
    try:
        found = float(text)
    except ValueError as error:
        what = f"'{cell.strip()[:20]}' is no number" if cell.strip() else "a number is missing"
        raise FileError(f"{what}.", "Correct it, or take the row out.", place) from error
    if not np.isfinite(found):
        raise FileError(f"'{cell.strip()[:20]}' is no ordinary number.", "Correct it, or take the row out.", place)
    return found

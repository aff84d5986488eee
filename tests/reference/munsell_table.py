"""Write the Lab of the Munsell chips in daylight, from the renotation tables of an independent colour library.

``python tests/reference/munsell_table.py src/enamelwright/reference/colour`` writes them again.

The chips are those of the renotation that can be made, and the greys. They are told for light C; they are carried to
D65 by the Bradford change of white. Lightness is that of ASTM D1535.
"""

from __future__ import annotations

import sys
from pathlib import Path

import colour
import numpy as np
import numpy.typing as npt

NAME = "munsell.csv"
GREYS = np.arange(0.5, 10.01, 0.5)
OBSERVER = "CIE 1931 2 Degree Standard Observer"


def lab_in_daylight(xy: npt.ArrayLike, value: float) -> npt.NDArray[np.float64]:
    """Lab under D65 of a chip told for light C."""
    light, day = (colour.CCS_ILLUMINANTS[OBSERVER][name] for name in ("C", "D65"))
    xyz = colour.xyY_to_XYZ([*np.asarray(xy), float(colour.notation.munsell.luminance_ASTMD1535(value)) / 100])
    white, new = colour.xy_to_XYZ(light), colour.xy_to_XYZ(day)
    moved = colour.adaptation.chromatic_adaptation_VonKries(xyz, white, new, "Bradford")
    return np.asarray(colour.XYZ_to_Lab(moved, day))


def chips() -> list[tuple[str, npt.NDArray[np.float64]]]:
    """Every chip with its Lab."""
    found = [
        (f"{hue} {value:g}/{chroma:g}", lab_in_daylight(xyy[:2], value))
        for (hue, value, chroma), xyy in colour.MUNSELL_COLOURS["Munsell Colours Real"]
    ]
    grey = colour.CCS_ILLUMINANTS[OBSERVER]["C"]
    return found + [(f"N {value:g}", lab_in_daylight(grey, value)) for value in GREYS]


def csv_text() -> str:
    """The table as it stands in the package."""
    lines = ["chip,l,a,b,source,locator,status,note"]
    for n, (chip, lab) in enumerate(chips()):
        numbers = ",".join(f"{one + 0.0:.2f}" for one in lab)
        lines.append(
            f"{chip},{numbers},munsell_renotation;colour_library,,computed,{'carried from light C to D65' if n == 0 else ''}"
        )
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    Path(sys.argv[1], NAME).write_text(csv_text(), encoding="utf-8", newline="\n")

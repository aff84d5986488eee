"""Write the weights of lights and observers on the 36 bands, from the tables of an independent colour library.

``python tests/reference/colour_weights.py src/enamelwright/reference/colour`` writes them again.

A reflectance is taken as straight between its bands and level beyond the first and last. Weights are
the sums over 360 to 780 nm, every nanometre, of that shape, the observer and the light, scaled so that
Y of a perfect white is 100. The white of a light is the column sums of its own table.
"""

from __future__ import annotations

import sys
from pathlib import Path

import colour
import numpy as np
import numpy.typing as npt

LIGHTS = ("D65", "D50", "A", "FL11", "LED-B3")
OBSERVERS = {"2": "CIE 1931 2 Degree Standard Observer", "10": "CIE 1964 10 Degree Standard Observer"}
BANDS = np.arange(380, 731, 10)
FINE = np.arange(360, 781)
DIGITS = 6


def weights(light: str, observer: str) -> npt.NDArray[np.float64]:
    """Weights of one light and observer, shape (36, 3)."""
    seen = colour.MSDS_CMFS[OBSERVERS[observer]]
    power = colour.SDS_ILLUMINANTS[light]
    shines = np.interp(FINE, power.wavelengths, power.values, left=0.0, right=0.0)
    eye = np.stack([np.interp(FINE, seen.wavelengths, column) for column in seen.values.T], axis=1)
    hats = np.stack([np.interp(FINE, BANDS, row) for row in np.eye(BANDS.size)])
    table = hats @ (eye * shines[:, np.newaxis])
    return np.asarray(100 * table / table[:, 1].sum())


def csv_of(light: str, observer: str) -> str:
    """The table as it stands in the package."""
    lines = ["band_nm,x,y,z,source,locator,status,note"]
    name = f"light {light}; {observer} degree observer"
    for n, (band, row) in enumerate(zip(BANDS, weights(light, observer), strict=True)):
        note = "sums of 1 nm steps over the shape of one band; columns add up to the white" if n == 0 else ""
        numbers = ",".join(f"{value:.{DIGITS}f}" for value in row)
        lines.append(f"{band},{numbers},cie_15;colour_library,{name},computed,{note}")
    return "\n".join(lines) + "\n"


def file_name(light: str, observer: str) -> str:
    """Name of the table."""
    return f"weights_{light}_{observer}.csv"


def main(folder: Path) -> None:
    """Write all tables."""
    for light in LIGHTS:
        for observer in OBSERVERS:
            (folder / file_name(light, observer)).write_text(csv_of(light, observer), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))

"""Light shut in by the surface: J. L. Saunderson, J. Opt. Soc. Am. 32 (1942) 727.

As given by E. Allen in Grum and Bartleson, Optical Radiation Measurements 2 (1980), equations 24 and 26
(secondary source): k1 = 0.04 and k2 = 0.6, values to five decimals.
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.physics.colour.layer_optics import below_surface, saunderson, surface

#: reflectance inside, seen outside without gloss
SEEN = [(0.2, 0.08727), (0.8, 0.59077), (1.0, 0.96)]


@pytest.mark.parametrize(("inside", "seen"), SEEN)
def test_seen_outside(inside: float, seen: float) -> None:
    assert float(saunderson(inside, 0.04, 0.6)) == pytest.approx(seen, abs=1e-5)
    assert float(saunderson(inside, 0.04, 0.6, gloss_included=True)) == pytest.approx(seen + 0.04, abs=1e-5)


@pytest.mark.parametrize("gloss", [False, True])
@pytest.mark.parametrize("index", [1.0, 1.5, 1.52, 1.6, 1.9])
def test_there_and_back(index: float, gloss: bool) -> None:
    inside = np.linspace(0, 1, 101)
    assert below_surface(surface(inside, index, gloss), index, gloss) == pytest.approx(inside, abs=1e-12)

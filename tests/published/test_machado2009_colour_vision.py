"""Colours as eyes with few cones of one kind see them: matrices, greys, and two independent libraries.

Source: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, IEEE Trans. Vis. Comput. Graph. 15 (2009) 1291, matrices at
severity 1; independent libraries coloraide and colour-science.
"""

from __future__ import annotations

import numpy as np
import pytest
from coloraide import Color
from colour.blindness import CVD_MATRICES_MACHADO2010

from enamelwright.craft.colour.eyes import EYES, _matrix
from enamelwright.physics.colour.colour_vision import simulated

# Machado et al. (2009), table of matrices at severity 1, first rows as printed
FIRST_ROWS = {
    "protan": (0.152286, 1.052583, -0.204868),
    "deutan": (0.367322, 0.860646, -0.227968),
    "tritan": (1.255528, -0.076749, -0.178779),
}
IN_LIBRARY = {"protan": "Protanomaly", "deutan": "Deuteranomaly", "tritan": "Tritanomaly"}


@pytest.mark.parametrize("eyes", EYES)
def test_matrices(eyes: str) -> None:
    mine = _matrix(eyes)
    assert mine[0].tolist() == pytest.approx(FIRST_ROWS[eyes], abs=2e-6)  # tolerance: digits of the table
    assert mine == pytest.approx(np.array(CVD_MATRICES_MACHADO2010[IN_LIBRARY[eyes]][1.0]), abs=2e-6)
    assert mine.sum(axis=1).tolist() == pytest.approx([1, 1, 1], abs=2e-6)


@pytest.mark.parametrize("eyes", EYES)
@pytest.mark.parametrize("rgb", [(0.9, 0.2, 0.1), (0.1, 0.6, 0.2), (0.05, 0.1, 0.8), (0.5, 0.5, 0.5), (1.0, 1.0, 0.0)])
def test_simulation_is_that_of_an_independent_library(eyes: str, rgb: tuple[float, float, float]) -> None:
    other = Color("srgb-linear", list(rgb)).filter(eyes, method="machado", space="srgb-linear").clip("srgb-linear")
    # tolerance: the library holds the matrices with more digits
    assert simulated(rgb, _matrix(eyes)).tolist() == pytest.approx(other.coords(), abs=2e-4)


@pytest.mark.parametrize("eyes", EYES)
def test_greys_stay_grey(eyes: str) -> None:
    greys = np.linspace(0, 1, 9)[:, None] * np.ones(3)
    assert simulated(greys, _matrix(eyes)) == pytest.approx(greys, abs=2e-6)

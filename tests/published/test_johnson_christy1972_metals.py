"""Shine of metals: P. B. Johnson, R. W. Christy, Phys. Rev. B 6 (1972) 4370 and 9 (1974) 5056.

Their n and k give the reflectances below at 550 nm (0.003: the tables are read between wavelengths). Colours on a
screen are compared with those that public documentation of renderers prints for the same metals.
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.colour.light import seen_under
from enamelwright.craft.colour.metal_optics import index_of_metal
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import BANDS, lab_of, srgb_of, untoned, xyz_of_linear_srgb
from enamelwright.physics.colour.layer_optics import metal_under_glass, mirror

#: metal, wavelength in nm, n + ik, reflectance in air, under glass of 1.5, the same for diffuse light
SHINE = [
    ("copper", 450, 1.240 + 2.393j, 0.538, 0.438, 0.488),
    ("copper", 550, 1.007 + 2.582j, 0.624, 0.534, 0.574),
    ("copper", 650, 0.238 + 3.626j, 0.935, 0.912, 0.914),
    ("silver", 450, 0.040 + 2.648j, 0.980, 0.974, 0.977),
    ("silver", 550, 0.060 + 3.597j, 0.983, 0.977, 0.977),
    ("silver", 650, 0.052 + 4.409j, 0.990, 0.986, 0.986),
    ("gold", 450, 1.383 + 1.916j, 0.408, 0.307, 0.377),
    ("gold", 550, 0.424 + 2.472j, 0.792, 0.741, 0.767),
    ("gold", 650, 0.156 + 3.602j, 0.957, 0.941, 0.942),
]
#: metal, channels printed by documentation of renderers
RENDERED = [
    ("gold", (255, 220, 157)),
    ("gold", (255, 219, 152)),
    ("silver", (250, 249, 245)),
    ("copper", (255, 211, 192)),
]
#: metal, Lab in air and under glass
LABS = [
    ("copper", (86.1, 11.8, 13.1), (82.0, 15.6, 16.8)),
    ("silver", (99.4, 0.1, 0.4), (99.2, 0.1, 0.4)),
    ("gold", (90.2, 5.0, 33.7), (87.9, 6.1, 42.5)),
]


@pytest.mark.parametrize(("metal", "wavelength", "index", "air", "glass", "diffuse"), SHINE)
def test_reflectance(metal: str, wavelength: int, index: complex, air: float, glass: float, diffuse: float) -> None:
    band = int(np.argmin(np.abs(BANDS * 1e9 - wavelength)))
    table = index_of_metal(metal)
    assert table[band] == pytest.approx(index, abs=0.001)
    assert abs((1 - table[band]) / (1 + table[band])) ** 2 == pytest.approx(air, abs=0.003)
    assert float(metal_under_glass(1.0, table)[0][band]) == pytest.approx(air, abs=0.003)
    normal, around = metal_under_glass(1.5, table)
    assert (float(normal[band]), float(around[band])) == pytest.approx((glass, diffuse), abs=0.001)


@pytest.mark.parametrize(("metal", "channels"), RENDERED)
def test_colour_on_a_screen(metal: str, channels: tuple[int, int, int]) -> None:
    """Within 2.5 CIEDE2000 of channels printed elsewhere: measurements of one metal differ by more."""
    seen = seen_under("D65")
    ours = np.clip(metal_under_glass(1.0, index_of_metal(metal))[0], 0, 1)
    shown = xyz_of_linear_srgb(untoned(srgb_of(seen.xyz(ours))[0]))
    theirs = xyz_of_linear_srgb(untoned(np.array(channels) / 255))
    assert float(ciede2000(lab_of(shown, seen.white), lab_of(theirs, seen.white))) < 2.5


@pytest.mark.parametrize(("metal", "air", "glass"), LABS)
def test_lab(metal: str, air: tuple, glass: tuple) -> None:
    table, seen = index_of_metal(metal), seen_under("D65")
    assert seen.lab(metal_under_glass(1.0, table)[0]) == pytest.approx(air, abs=0.1)
    assert seen.lab(metal_under_glass(1.5, table)[0]) == pytest.approx(glass, abs=0.1)


def test_glass_darkens_every_metal_at_every_band() -> None:
    for metal in ("copper", "silver", "gold", "iron", "gilding_cu90zn10"):
        air, glass = (metal_under_glass(n, index_of_metal(metal))[0] for n in (1.0, 1.5))
        assert np.all(glass < air)


def test_silver_is_brightest_under_glass_then_gold_copper_iron() -> None:
    seen = seen_under("D65")
    light = [
        float(seen.lab(metal_under_glass(1.5, index_of_metal(m))[0])[0]) for m in ("silver", "gold", "copper", "iron")
    ]
    assert light == sorted(light, reverse=True)


def test_clear_glass_on_copper_is_mirrored_through_its_surface() -> None:
    """At 550 nm, index 1.5, nothing absorbed: 0.5029, computed independently."""
    normal = metal_under_glass(1.5, index_of_metal("copper"))[0]
    band = int(np.argmin(np.abs(BANDS * 1e9 - 550)))
    assert float(mirror(0.0, normal, 1.5)[band]) == pytest.approx(0.5029, abs=1e-3)

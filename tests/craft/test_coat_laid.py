"""How coats are laid: opaques hide, thick coats take several layings, and a yellow below makes blue glass green."""

from __future__ import annotations

import math

import numpy as np
import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.coat_laid import layings, least_laid
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat
from enamelwright.craft.colour.fired_colour import nominal_look
from enamelwright.craft.colour.jar_optics import of_archetype, of_jar
from enamelwright.craft.jar import FITTED, Jar
from enamelwright.physics.colour.layer_optics import layer, over

MM = 1e-3


def jar(id: str, name: str, kind: str, family: str, **optics: object) -> Jar:
    """A jar by name and family."""
    return Jar.from_outside({"id": id, "name": name, "kind": kind, "optics": {"family": family, **optics}})


def measured(one: Jar, scattering: float) -> Jar:
    """The same jar as if tiles had told its curves."""
    found = of_jar(one)
    facet = one.optics.model_copy(
        update={
            "absorption": tuple(found.absorption.tolist()), "scattering": scattering, "scattering_power": 0.0,
            "fitted_from": ("T1", "T2", "T3"), "covariance": tuple(map(tuple, np.zeros((1, FITTED)).tolist())),
        }
    )  # fmt: skip
    return one.model_copy(update={"optics": facet})


@pytest.mark.parametrize(
    ("coats", "times"), [((0.05,), 1), ((0.25,), 1), ((0.26,), 2), ((0.5,), 2), ((0.6,), 3), ((0.2, 0.6, 0.1), 5)]
)
def test_a_thick_coat_is_laid_and_fired_several_times(coats: tuple[float, ...], times: int) -> None:
    """One fired coat is 0.1 to 0.25 mm (common practice, no source)."""
    assert layings([one * MM for one in coats]) == times


def test_an_opaque_nobody_measured_is_held_between_the_least_of_the_trade_and_one_laying() -> None:
    for key in ("opaque_white", "opaque_black", "opaque_cd_yellow", "opaque_brown"):
        assert 0.15 * MM <= least_laid(of_archetype(key)) <= 0.25 * MM
    assert least_laid(of_archetype("cobalt_blue")) == least_laid(of_archetype("opal_white")) < 0.1 * MM


def test_a_measured_opaque_is_held_to_what_its_own_scattering_hides() -> None:
    """Over black it has 0.98 of its lightness over white (ISO 6504-1:1983), and a thinner coat has less."""
    white = jar("W1", "white", "opaque", "white")
    strong, weak = (of_jar(measured(white, s * 1e3)) for s in (200.0, 60.0))
    assert least_laid(strong) < least_laid(weak)
    for one in (strong, weak):
        depth = least_laid(one)
        free = [layer(one.absorption, one.scattering_at_bands, share * depth) for share in (1.0, 0.7)]
        here, thinner = (float(np.mean(over(*each, 0.0) / over(*each, 0.8))) for each in free)
        assert 0.96 < here < 0.995  # the glass surface stands between this and what is seen
        assert thinner < here


@pytest.mark.parametrize("under", ["straw", "yellow", "warm yellow"])
@pytest.mark.parametrize("over_it", ["pale blue", "turquoise"])
def test_a_clear_blue_over_an_opaque_yellow_is_green(under: str, over_it: str) -> None:
    """What passes both is green (common practice, no source; green lies about 90 to 200 degrees of CIELAB hue)."""
    yellow = jar("Y1", under, "opaque", "warm yellow" if under == "warm yellow" else "yellow")
    bench = Bench.starter().with_jars((yellow, jar("B1", over_it, "transparent", "blue")))
    for deep in (0.15, 0.2):
        coats = tuple(
            StackCoat(jar=name, thickness=thick, weighed=True)
            for name, thick in (("Y1", least_laid(of_jar(yellow))), ("B1", deep * MM))
        )
        lab = nominal_look(ColourStack(metal="copper", coats=coats), bench).lab
        assert 90 < math.degrees(math.atan2(lab[2], lab[1])) % 360 < 200, lab

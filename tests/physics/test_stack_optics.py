"""Stacks on metal: energy, limits, symmetry, and what order and thickness do."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.errors import InputError
from enamelwright.physics.colour.colour_space import BANDS
from enamelwright.physics.colour.layer_optics import (
    finish_mix,
    layer,
    metal_reflectance,
    mirror,
    normal_reflectance,
    over,
)
from enamelwright.physics.colour.stack_optics import scattering_at_bands, stack_light, stack_reflectance

MANY = 20_000
ONES = np.ones(36)


def some_stacks(absorbing: bool) -> tuple[list, np.ndarray, np.ndarray, dict]:
    """Random layers and metals of every kind; absorption left out or not."""
    draw = np.random.default_rng(11)
    depth = draw.integers(1, 5, MANY)
    layers = []
    for place in range(4):
        k = 10 ** draw.uniform(1, 5, (MANY, 1)) * ONES if absorbing else np.zeros((1, 36))
        s = 10 ** draw.uniform(-2, 5, (MANY, 1)) * draw.choice([0, 1], (MANY, 1)) * ONES
        layers.append((k, s, np.where(place < depth, draw.uniform(0, 1e-3, MANY), 0.0)))
    base = draw.uniform(0, 1, (MANY, 36))
    mix = {"n_top": draw.uniform(1.0, 2.2, MANY), "h": draw.uniform(0, 1, MANY), "v": draw.uniform(0, 1, MANY)}
    return layers, base, draw.permuted(base, axis=0), mix


def test_twenty_thousand_stacks_that_absorb_nothing_give_no_more_light_than_comes_in() -> None:
    layers, normal, around, mix = some_stacks(absorbing=False)
    seen = stack_reflectance(layers, normal, around, **mix)
    most = 1 - normal_reflectance(mix["n_top"])
    assert np.all(seen >= 0)
    assert np.all(seen <= most[:, np.newaxis] + 1e-9)


def test_so_do_twenty_thousand_that_absorb() -> None:
    layers, normal, around, mix = some_stacks(absorbing=True)
    seen = stack_reflectance(layers, normal, around, **mix)
    assert np.all((seen >= 0) & (seen <= 1 - normal_reflectance(mix["n_top"])[:, np.newaxis] + 1e-9))


def test_a_white_that_loses_nothing_on_perfect_metal_is_perfectly_white() -> None:
    """All light that enters leaves again, whatever the finish: 1 less the gloss."""
    seen = stack_reflectance([(0 * ONES, 3e4 * ONES, 5e-4)], ONES, ONES, 1.52, 1.0, 0.0)
    assert seen == pytest.approx((1 - normal_reflectance(1.52)) * ONES, abs=1e-12)


def test_the_mirror_takes_two_passes_of_beer_and_lambert() -> None:
    straight, thick, metal = 3e3, 2e-4, 0.9
    r = float(normal_reflectance(1.52))
    two = np.exp(-2 * straight * thick)
    told = (1 - r) ** 2 * two * metal / (1 - r * two * metal)
    light = stack_light([(2 * straight * ONES, 0 * ONES, thick)], metal * ONES, metal * ONES, 1.52)
    assert light.mirrored == pytest.approx(told * ONES, abs=1e-12)
    assert light.unscattered == pytest.approx(ONES, abs=1e-12)


def test_bare_metal_is_metal_in_air() -> None:
    metal = metal_reflectance(1.0, 0.06 + 3.6j) * ONES
    assert stack_reflectance([], metal, metal, 1.0, 0.0, 1.0) == pytest.approx(metal, abs=1e-12)


def test_what_lies_under_a_coat_that_hides_does_not_matter() -> None:
    hiding = (1e4 * ONES, 1e5 * ONES, 2e-3)
    seen = [
        stack_reflectance([hiding], base * ONES, base * ONES, 1.52, h, v)
        for base in (0, 1)
        for h in (0, 1)
        for v in (0, 1)
    ]
    assert np.ptp(seen, axis=0).max() < 1e-12


def test_order_matters_only_where_light_is_scattered() -> None:
    clear = [(a * ONES, 0 * ONES, 1e-4) for a in (2e3, 9e3)]
    milky = [(2e3 * ONES, 0 * ONES, 1e-4), (1e2 * ONES, 2e4 * ONES, 1e-4)]
    base = 0.8 * ONES

    def seen(layers: list) -> np.ndarray:
        return stack_reflectance(layers, base, base, 1.52, 0.7, 1.0)

    assert seen(clear) == pytest.approx(seen(clear[::-1]), abs=1e-12)
    assert np.abs(seen(milky) - seen(milky[::-1])).max() > 0.05


def test_a_coat_in_two_layings_is_one_coat() -> None:
    k, s = np.linspace(1e2, 2e4, 36), np.linspace(3e4, 1e3, 36)
    whole = stack_reflectance([(k, s, 3e-4)], 0.7 * ONES, 0.8 * ONES, 1.52, 0.4, 0.6)
    parts = stack_reflectance([(k, s, 1e-4), (k, s, 2e-4)], 0.7 * ONES, 0.8 * ONES, 1.52, 0.4, 0.6)
    assert parts == pytest.approx(whole, abs=1e-12)


def test_clear_glass_darkens_with_depth_and_white_lightens_over_black() -> None:
    depth = np.linspace(0, 1e-3, 50)
    clear = stack_reflectance([(3e3 * ONES, 0 * ONES, depth)], 0.9 * ONES, 0.9 * ONES, 1.52, 0.5, 1.0)
    white = stack_reflectance([(10 * ONES, 3e4 * ONES, depth)], 0 * ONES, 0 * ONES, 1.52, 1.0, 1.0)
    assert np.all(np.diff(clear, axis=0) < 0)
    assert np.all(np.diff(white, axis=0) > 0)


def test_draws_broadcast_as_if_taken_one_by_one() -> None:
    draw = np.random.default_rng(3)
    k, s, d = draw.uniform(0, 1e4, (5, 36)), draw.uniform(0, 1e4, 36), draw.uniform(0, 3e-4, 5)
    base, h, v, n = draw.uniform(0, 1, (5, 36)), draw.uniform(0, 1, 5), 0.3, draw.uniform(1.4, 1.7, 5)
    together = stack_reflectance([(k, s, d)], base, base, n, h, v)
    single = [stack_reflectance([(k[i], s, d[i])], base[i], base[i], n[i], h[i], v) for i in range(5)]
    assert together == pytest.approx(np.array(single), abs=1e-15)


def test_scattering_falls_with_wavelength_as_told() -> None:
    s = scattering_at_bands([2.0, 2.0], [0.0, 4.0], 550e-9)
    assert s[0] == pytest.approx(2 * ONES)
    assert s[1, 0] / s[1, -1] == pytest.approx((BANDS[-1] / BANDS[0]) ** 4)
    assert s[1, 17] == pytest.approx(2.0)


def test_ends_of_finish_and_view() -> None:
    assert float(finish_mix(1, 0.3, 0.9, 0.4, 1.0)) == pytest.approx(0.4)
    assert float(finish_mix(0, 1, 0.9, 0.4, 1.0)) == pytest.approx(0.9)
    assert float(finish_mix(0, 0, 0.9, 0.4, 1.0)) == 0
    assert float(mirror(0.0, 1.0, 1.0)) == 1


@pytest.mark.parametrize("bad", [(-1.0, 1.0, 1.0), (1.0, np.nan, 1.0), (1.0, 1.0, -1e-4), (np.inf, 1.0, 1.0)])
def test_layers_of_less_than_nothing_are_refused(bad: tuple[float, float, float]) -> None:
    with pytest.raises(InputError):
        layer(*bad)


def test_bands_and_indices_are_checked() -> None:
    with pytest.raises(InputError, match="36"):
        stack_light([], np.ones(35), np.ones(36), 1.5)
    with pytest.raises(InputError, match="at least"):
        normal_reflectance(0.9)
    assert np.isfinite(over(*layer(1e9, 1e9, 1.0), 1.0))

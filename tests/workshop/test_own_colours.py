"""How forecasts fared on the maker's own tiles: running error, learned shift, and readings for their own light."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from enamelwright.craft.colour.fired_tile import FiredTile, TileCoat, TileStack
from enamelwright.craft.colour.light import seen_under
from enamelwright.errors import InputError
from enamelwright.learning.colour_tiles import foretold_beside
from enamelwright.workshop import loads
from enamelwright.workshop.bench import bench
from enamelwright.workshop.colours import seen_tiles
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.metal_coupons import coupon_from_tiles
from enamelwright.workshop.own_colours import own_colours
from enamelwright.workshop.settings import coupons
from enamelwright.workshop.tile_colours import fit_from_tiles, keep_fit, keep_typed_colour, own_tiles
from enamelwright.workshop.tiles import make_tiles, spot
from morning import enamel

if TYPE_CHECKING:
    from enamelwright.craft.bench import Bench
    from enamelwright.workshop.studio import Studio

MOVED = (-6.0, 2.0, -5.0)


@pytest.fixture
def tiled(studio: Studio) -> Studio:
    """A transparent over white on copper, five spots of slightly different thickness, fired."""
    add_jar(studio, enamel("J07", "blue, clear", "transparent", "blue"))
    add_jar(studio, enamel("J01", "flux", "flux", "clear"))
    (tile,) = make_tiles(studio, metal="copper")
    for n in range(1, 6):
        spot(studio, tile.id, str(n), under="J04", coats=[{"jar": "J07", "thickness_mm": 0.1 + 0.02 * n}])
    spot(studio, tile.id, "6", under="bare", coats=[{"jar": "J01", "fired_thickness_mm": 0.12}])
    loads.fired(studio, [tile.id], seconds="120 s")
    return studio


def _foretold(known: Bench, n: int) -> tuple[float, ...]:
    """What is foretold of a spot, as a fitting tile of the model of tiles is lit."""
    under = TileCoat(jar="J04", thickness=15e-5, weighed=False)
    tile = FiredTile(
        name="t", metal="copper", coats=(under, TileCoat(jar="J07", thickness=(0.1 + 0.02 * n) * 1e-3)), taken="tent",
        lab=(50.0, 0.0, 0.0),
    )  # fmt: skip
    return foretold_beside([tile], known)[0].foretold


def _read(studio: Studio, spots: range, by: tuple[float, ...] = MOVED) -> None:
    known = bench(studio)
    for n in spots:
        lab = [one + step for one, step in zip(_foretold(known, n), by, strict=True)]
        keep_typed_colour(studio, "TL-01", (lab[0], lab[1], lab[2]), spot=str(n), taken="tent", light="D50")


def test_a_jar_that_comes_out_otherwise_teaches_its_shift_from_three_tiles(tiled: Studio) -> None:
    """Shrunk towards none, so short of what was seen, and the same way."""
    wanted = TileStack(
        name="wanted", metal="copper", taken="unknown",
        coats=(TileCoat(jar="J04", thickness=1e-4), TileCoat(jar="J07", thickness=2e-4)),
    )  # fmt: skip
    _read(tiled, range(1, 3))
    assert own_colours(tiled, bench(tiled)).shift_of(wanted, bench(tiled)) is None
    _read(tiled, range(3, 6))
    fared = own_colours(tiled, bench(tiled))
    shift = fared.shift_of(wanted, bench(tiled))
    assert shift is not None
    assert shift.count == 5
    ratio = np.array(shift.lab) / np.array(MOVED)
    assert np.all((ratio > 0.4) & (ratio < 1))
    on_gold = wanted.model_copy(update={"metal": "fine gold"})
    assert fared.shift_of(on_gold, bench(tiled)) is None


def test_the_running_error_leaves_out_tiles_a_fit_stands_on(tiled: Studio) -> None:
    _read(tiled, range(1, 6))
    before = own_colours(tiled, bench(tiled))
    assert before.running.count == 5
    assert all(one.unseen for one in before.beside.values())
    keep_fit(tiled, fit_from_tiles(tiled, ["J07"]), anyway=True)
    after = own_colours(tiled, bench(tiled))
    assert after.running.count == 0
    assert not any(one.unseen for one in after.beside.values())
    assert np.mean([one.off for one in after.beside.values()]) < np.mean([one.off for one in before.beside.values()])


def test_a_reading_is_shown_in_daylight_and_kept_for_its_own_light(tiled: Studio) -> None:
    white = seen_under("D50").white
    assert white[2] < seen_under("D65").white[2]  # D50 is yellower: its white is no daylight white
    keep_typed_colour(tiled, "TL-01", (60.0, 0.0, 0.0), spot="1", taken="lamps at 45 degrees", light="D50")
    keep_typed_colour(tiled, "TL-01", (60.0, 20.0, 30.0), spot="2", taken="tent", light="D50")
    keep_typed_colour(tiled, "TL-01", (60.0, 20.0, 30.0), spot="3", taken="lamps at 45 degrees", light="D65")
    found = {one.spot: one for one in seen_tiles(tiled, bench(tiled))}
    assert found["1"].lab == pytest.approx((60.0, 0.0, 0.0), abs=1e-6)  # grey stays grey
    lab = found["2"].lab
    assert lab is not None
    assert lab[0] < 60  # the gloss is off
    assert found["2"].read is not None
    assert found["2"].read.lab == (60.0, 20.0, 30.0)
    assert found["3"].lab == (60.0, 20.0, 30.0)


def test_a_thickness_told_on_the_page_of_a_tile_counts(tiled: Studio) -> None:
    keep_typed_colour(tiled, "TL-01", (70.0, 12.0, 20.0), spot="6", taken="tent", light="D50")
    (tile,) = own_tiles(tiled).tiles
    assert tile.coats[-1].thickness == pytest.approx(1.2e-4)


def test_one_fluxed_reading_makes_a_coupon_and_a_new_one_takes_its_place(tiled: Studio) -> None:
    with pytest.raises(InputError, match="copper under flux"):
        coupon_from_tiles(tiled, "copper")
    known = bench(tiled)
    flux = FiredTile(
        name="t", metal="copper", coats=(TileCoat(jar="J01", thickness=1.2e-4),), taken="tent", lab=(50.0, 0.0, 0.0)
    )
    usual = foretold_beside([flux], known)[0].foretold
    gains = []
    for darker in (0.0, 4.0):
        keep_typed_colour(tiled, "TL-01", (usual[0] - darker, usual[1], usual[2]), spot="6", taken="tent", light="D50")
        keep_fit(tiled, coupon_from_tiles(tiled, "copper"), anyway=True)
        (kept,) = coupons(tiled)
        gains.append(kept.gain)
    assert gains[0] == pytest.approx(1, abs=0.02)
    assert gains[1] < gains[0] - 0.01

"""Own tiles first: which are nearest, how the running error is told, how a shift is learned."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.fired_tile import FiredTile, TileCoat, TileStack
from enamelwright.craft.jar import Jar
from enamelwright.learning.colour_tiles import Beside, learned_shift, nearest, running_error, taught_off
from enamelwright.learning.tile_model import off

BENCH = Bench().with_jars(
    tuple(
        Jar(id=name, name=f"jar {name}", kind=kind, synthetic=True)
        for name, kind in (("W", "opaque"), ("F", "flux"), ("B", "transparent"), ("R", "opaque"))
    )
)


def tile(name: str, metal: str, *coats: tuple[str, float], taken: str = "tent") -> FiredTile:
    """A tile with any colour."""
    laid = tuple(TileCoat(jar=jar, thickness=mm * 1e-3) for jar, mm in coats)
    return FiredTile(name=name, metal=metal, coats=laid, lab=(50, 0, 0), taken=taken)


WANTED = TileStack(
    name="wanted", metal="copper", coats=(TileCoat(jar="F", thickness=1e-4), TileCoat(jar="B", thickness=2e-4))
)


def test_the_same_stack_comes_first_then_its_thickness_then_its_base() -> None:
    same = tile("same", "copper", ("F", 0.1), ("B", 0.2))
    thicker = tile("thicker", "copper", ("F", 0.1), ("B", 0.3))
    silver = tile("silver", "fine silver", ("F", 0.1), ("B", 0.2))
    white = tile("white", "copper", ("W", 0.1), ("B", 0.2))
    other = tile("other", "copper", ("F", 0.1), ("R", 0.2))
    found = nearest(WANTED, [other, white, silver, thicker, same], BENCH, most=5)
    assert [near.tile.name for near in found] == ["same", "thicker", "silver", "white"]
    assert found[0].alike == 0
    assert found[0].words == ()
    assert "50% thicker" in found[1].words[0]
    assert "silver" in found[2].words[0]
    assert "jar W" in found[3].words[0]


def test_what_a_hiding_coat_covers_counts_little() -> None:
    wanted = TileStack(name="w", metal="copper", coats=(TileCoat(jar="R", thickness=2e-4),))
    steel = tile("other metal", "fine silver", ("R", 0.2))
    thin = tile("other thickness", "copper", ("R", 0.12))
    assert [n.tile.name for n in nearest(wanted, [thin, steel], BENCH)] == ["other metal", "other thickness"]


def test_no_tile_of_the_jar_is_no_answer() -> None:
    assert nearest(WANTED, [tile("r", "copper", ("R", 0.2))], BENCH) == ()


def test_the_running_error_is_told_only_when_earned() -> None:
    few, many = running_error([1.0] * 7), running_error([3.0, 4.0] * 4)
    assert not few.earned
    assert "too few" in few.words()
    assert many.earned
    assert many.off == pytest.approx(np.sqrt(12.5))
    assert many.half == pytest.approx(3.5)


def test_a_tile_is_taught_by_the_others_of_its_kind_and_never_by_itself() -> None:
    """Leaving one out by hand: three others teach, two are too few, and a tile of another kind teaches nothing."""

    def beside(name: str, gap: float, *coats: tuple[str, float]) -> Beside:
        said = (50.0, 10.0, 10.0)
        seen = (50.0 + gap, 10.0, 10.0)
        return Beside(tile(name, "copper", *coats), seen, said, off(said, seen), True)

    four = [beside(str(n), gap, ("R", 0.2)) for n, gap in enumerate((6.0, 8.0, 10.0, 40.0))]
    other = beside("other", 7.0, ("W", 0.2))
    found = taught_off([*four, other], BENCH)
    shift = learned_shift(np.array([[6.0, 0, 0], [8.0, 0, 0], [10.0, 0, 0]])).lab[0]
    assert found[3] == pytest.approx(off((50.0 + shift, 10.0, 10.0), four[3].seen))
    assert found[4] == other.off
    assert taught_off(four[:3], BENCH) == tuple(one.off for one in four[:3])


@given(st.integers(0, 60), st.floats(-8, 8))
def test_a_shift_is_drawn_towards_none_while_tiles_are_few(count: int, gap: float) -> None:
    """The normal prior's closed form: n t2/(n t2 + s2), with t = 3 and s = 1.5."""
    shift = learned_shift(np.full((count, 3), gap))
    assert shift.lab[0] == pytest.approx(gap * count * 9 / (count * 9 + 2.25), abs=1e-9)
    assert shift.sd == pytest.approx(np.sqrt(9 * 2.25 / (count * 9 + 2.25)))
    assert shift.learned == (count >= 3)

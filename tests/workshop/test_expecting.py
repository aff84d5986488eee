"""Several pieces in one load: the earliest look, the widest band, the first that has to come out."""

from __future__ import annotations

from typing import Any

from enamelwright.workshop.expecting import gather


def firing(target: str, first: float, out_by: float, gloss: tuple[float, float, float], heat: float) -> dict[str, Any]:
    low, value, high = gloss
    band = {"low": low, "value": value, "high": high}
    looks = {"first": first, "every": 15.0, "out_by": out_by, "words": f"First look at {first:.0f}."}
    window = {
        "seconds": band, "looks": looks, "start": "load", "status": "model", "display": "", "over": None,
        "set_point": {"low": heat - 10, "value": heat, "high": heat + 10},
        "stages": [{"stage": "gloss", "begins": band}, {"stage": "over-fired", "begins": None}],
    }  # fmt: skip
    return {"number": 1, "target": target, "window": window}


def test_pieces_alike_are_as_one() -> None:
    one = firing("gloss", 60, 120, (70, 90, 130), 1060)
    assert gather({"a": one}, {}, False).stages == gather({"a": one, "b": one}, {}, False).stages
    assert gather({"a": one, "b": one}, {}, False).first_out == ""


def test_the_most_delicate_piece_sets_the_looks() -> None:
    thin, thick = firing("gloss", 40, 90, (50, 60, 80), 1060), firing("cleared", 90, 200, (90, 120, 190), 1080)
    both = gather({"thick": thick, "thin": thin}, {}, True)
    assert (both.first, both.out_by, both.first_out) == (40, 90, "thin")
    (gloss,) = both.stages
    assert (gloss.low, gloss.high) == (50, 190)
    assert both.target == "cleared"  # the load is done when the last of it is
    assert {setting.pieces for setting in both.settings} == {("thin",), ("thick",)}


def test_nothing_foretold_is_nothing_claimed() -> None:
    nothing = gather({}, {"a": "it has no plan"}, True)
    assert (nothing.first, nothing.out_by, nothing.stages, nothing.settings, nothing.words) == (None, None, (), (), "")
    assert nothing.end is None
    assert "cleared" in nothing.seen


def test_a_kiln_without_degrees_has_no_setting() -> None:
    torch = firing("gloss", 40, 90, (50, 60, 80), 1060)
    torch["window"] |= {"set_point": None, "seconds": None, "looks": None, "stages": []}
    found = gather({"a": torch}, {}, False)
    assert (found.settings, found.end, found.target) == ((), None, "gloss")

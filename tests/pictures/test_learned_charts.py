"""Charts of what was learned: drawn by the renderer of the specification, in every light and with the page's own."""

from __future__ import annotations

from math import inf

import pytest
import vl_convert

from enamelwright.pictures import learned_charts as charts
from enamelwright.pictures.learned_charts import Case, TileDot

SPECS = {
    "kiln": lambda light: charts.kiln_days(
        [("2026-03-02", 110, 129, 151), ("2026-04-09", 91, 102, 117)], ["2026-04-23"], light
    ),
    "tile": lambda light: charts.control_tile(
        [
            [
                TileDot("2026-03-06", 158, False, 153.3, (137.0, 170.0)),
                TileDot("2026-03-12", 120, True, 153.3, (136.0,)),
            ],
            [TileDot("2026-04-23", 168)],
        ],
        [("2026-04-23", "thermocouple moved")],
        light,
    ),
    "few tiles": lambda light: charts.control_tile([[TileDot("2026-03-06", 158)]], (), light),
    "foretold": lambda light: charts.foretold_happened(
        [Case(90, 150, 120, True), Case(90, 150, 170, False), Case(90, inf, 160, True, True)], "s", light
    ),
    "nothing foretold": lambda light: charts.foretold_happened([], "s", light),
    "colours": lambda light: charts.colour_course([3.0, 5.0], [3.0, 4.1], light),
    "faults": lambda light: charts.fault_list([("dull", 1.5, 3.4, 6.7), ("pits", 0.2, 1.1, 3.6)], light),
}


@pytest.mark.parametrize("light", ["paper", "lamp", "daylight"])
@pytest.mark.parametrize("name", sorted(SPECS))
def test_every_chart_is_drawn(name: str, light: str) -> None:
    drawn = vl_convert.vegalite_to_svg(SPECS[name](light))
    assert drawn.startswith("<svg")
    assert SPECS[name](light) == SPECS[name](light)


def test_a_page_gives_its_own_colours_and_width() -> None:
    for make in SPECS.values():
        spec = make(None)
        assert "config" not in spec
        assert spec["width"] == "container"


def test_marks_differ_by_shape_and_not_by_colour_alone() -> None:
    tile = SPECS["tile"](None)
    assert [one["said"] for one in tile["data"]["values"]] == ["as usual", "alarm", "as usual"]
    assert tile["layer"][1]["encoding"]["shape"]["field"] == "said"
    assert [one["said"] for one in SPECS["foretold"](None)["data"]["values"]] == [
        "inside", "outside", "not by then",
    ]  # fmt: skip


def test_one_very_wide_band_does_not_press_the_others_flat() -> None:
    cases = [Case(90.0, 150.0, 120.0, True)] * 8 + [Case(80.0, 9000.0, 130.0, True), Case(90.0, inf, 130.0, True)]
    spec = charts.foretold_happened(cases, "s")
    low, high = spec["layer"][0]["encoding"]["y"]["scale"]["domain"]
    assert high < 1000
    values = spec["data"]["values"]
    assert [one["up"] for one in values] == [False] * 8 + [True, True]  # and an arrow says that it goes on
    assert all(low < one["low"] <= one["high"] < high for one in values)  # no bar is cut by the frame
    assert spec["layer"][0]["encoding"]["x"]["scale"]["domain"] == [0, 11]  # no part of the frame stays empty


def test_what_counts_as_held_is_for_the_record_to_say() -> None:
    """Rounded to three places a bow of -0.1 lay outside of -0.0996 and inside by the table beside it."""
    (drawn,) = charts.foretold_happened([Case(-0.0996, 0.142, -0.1, True)], "mm")["data"]["values"]
    assert drawn["said"] == "inside"


def test_tiles_stand_on_their_days_and_no_line_joins_them_over_a_change() -> None:
    tile = SPECS["tile"](None)
    assert [one["series"] for one in tile["data"]["values"]] == [0, 0, 1]
    assert tile["layer"][0]["encoding"]["detail"]["field"] == "series"
    assert tile["layer"][0]["encoding"]["x"]["type"] == "temporal"
    (change,) = tile["layer"][-1]["data"]["values"]
    assert change["what"] == "thermocouple moved"
    limits = [(one["day"][:10], one["at"]) for one in tile["layer"][2]["data"]["values"] if one["line"] == "limit"]
    assert limits == [("2026-03-06", 137.0), ("2026-03-06", 170.0), ("2026-03-12", 136.0)]


def test_no_layer_is_without_a_row() -> None:
    """The drawer complains of a layer that has no extent."""
    dot = TileDot("2026-03-06", 158)
    told = TileDot("2026-03-06", 158, False, 153.3, (137.0, 170.0))
    changes = [("2026-03-04", "relined"), ("2026-03-09", "moved")]
    count = {
        name: [len(one.get("layer", [one])) for one in charts.control_tile(dots, marks)["layer"]]
        for name, dots, marks in (
            ("bare", [[dot]], []),
            ("limits", [[told]], []),
            ("changes", [[dot]], changes),
            ("one side", [[told]], changes[:1]),
        )
    }
    assert count == {"bare": [1, 1], "limits": [1, 1, 2], "changes": [1, 1, 3], "one side": [1, 1, 2, 2]}
    assert len(charts.kiln_days([("2026-03-02", 1.0, 2.0, 3.0)])["layer"]) == 3


def test_an_axis_names_each_day_once() -> None:
    """Two firings a day apart were eight names of two days."""
    for days in (["2026-10-01"], ["2026-10-01", "2026-10-02"], ["2026-03-02", "2026-04-30"]):
        spec = charts.kiln_days([(day, 1.0, 2.0, 3.0) for day in days])
        named = [
            (one["year"], one["month"], one["date"]) for one in spec["layer"][0]["encoding"]["x"]["axis"]["values"]
        ]
        assert len(named) == len(set(named)) <= charts.DATES
        drawn = vl_convert.vegalite_to_svg(charts.kiln_days([(day, 1.0, 2.0, 3.0) for day in days], [], "paper"))
        assert drawn.count(">1 Oct<") <= 1

"""Charts of what was learned: drawn by the renderer of the specification, in every light and with the page's own."""

from __future__ import annotations

import pytest
import vl_convert

from enamelwright.pictures import learned_charts as charts

SPECS = {
    "kiln": lambda light: charts.kiln_days(
        [("2026-03-02", 110, 129, 151), ("2026-04-09", 91, 102, 117)], ["2026-04-23"], light
    ),
    "tile": lambda light: charts.control_tile(
        [("CT-01", 158), ("CT-02", 154), ("CT-03", 120)], [False, False, True], 153.3, (137.0, 170.0), light
    ),
    "few tiles": lambda light: charts.control_tile([("CT-01", 158)], (), None, None, light),
    "foretold": lambda light: charts.foretold_happened([(90, 150, 120), (90, 150, 170)], "s", light),
    "nothing foretold": lambda light: charts.foretold_happened([], "s", light),
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
    assert [one["said"] for one in tile["data"]["values"]] == ["as usual", "as usual", "alarm"]
    assert tile["layer"][1]["encoding"]["shape"]["field"] == "said"
    assert [one["said"] for one in SPECS["foretold"](None)["data"]["values"]] == ["inside", "outside"]


def test_one_very_wide_band_does_not_press_the_others_flat() -> None:
    pairs = [(90.0, 150.0, 120.0)] * 8 + [(80.0, 9000.0, 130.0)]
    spec = charts.foretold_happened(pairs, "s")
    assert spec["layer"][0]["encoding"]["y"]["scale"]["domain"][1] < 1000

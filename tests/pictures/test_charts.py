"""Charts of a firing: data filled in, drawn by the renderer of the specification, and no chart out of nothing."""

from __future__ import annotations

import itertools
import json
import xml.etree.ElementTree as ET

import pytest
import vl_convert
from craft.window.asked import ask, bench

from enamelwright.errors import OutOfReach
from enamelwright.pictures.charts import heat_chart, stage_chart
from enamelwright.pictures.lights import LIGHTS
from enamelwright.pictures.time_line import time_line_svg


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize("chart", [heat_chart, stage_chart], ids=lambda chart: chart.__name__)
def test_a_chart_is_drawn_in_every_light(chart, light):
    spec = chart(ask(), light, "A disc")
    drawn = vl_convert.vegalite_to_svg(spec)
    assert ET.fromstring(drawn).tag.endswith("svg")
    assert "A disc" in drawn
    # Ground and curve carry the colours of the light.
    assert LIGHTS[light].ground.lower() in drawn.lower()
    assert LIGHTS[light].action.lower() in drawn.lower()


def test_charts_show_what_the_window_says():
    window = ask()
    heat, stage = heat_chart(window), stage_chart(window)
    piece = [row for row in heat["data"]["values"] if row["what"] == "piece"]
    assert piece[0]["celsius"] == pytest.approx(20, abs=0.1)
    assert max(row["celsius"] for row in piece) == pytest.approx(window.peak.value - 273.15, abs=2)
    assert heat["layer"][1]["data"]["values"] == [
        {"from": round(window.seconds.low, 1), "to": round(window.seconds.high, 1)}
    ]
    rows = stage["data"]["values"]
    assert all(row["low"] <= row["middle"] <= row["high"] for row in rows)
    assert all(a["middle"] <= b["middle"] + 1e-9 for a, b in itertools.pairwise(rows))
    # Progress 3 is gloss: passed when gloss likely begins; the piece is taken out a little later.
    gloss = next(one for one in window.stages if one.stage == "gloss")
    after = next(row["seconds"] for row in rows if row["middle"] >= 3)
    assert after == pytest.approx(gloss.likely, abs=10)
    assert window.seconds.value >= gloss.likely


def test_specifications_are_plain_data_and_the_same_every_time():
    for chart in (heat_chart, stage_chart):
        spec = chart(ask())
        assert json.loads(json.dumps(spec)) == spec
        assert chart(ask()) == spec
        assert spec["$schema"].startswith("https://vega.github.io/schema/vega-lite/")


def test_no_chart_where_nothing_is_worked_out():
    dial = ask(bench(kiln={"control": "dial"}))
    for chart in (heat_chart, stage_chart):
        with pytest.raises(OutOfReach):
            chart(dial)
    assert time_line_svg(dial) is None


def test_the_line_of_time_says_its_stages_and_marks_its_looks():
    window = ask()
    drawn = time_line_svg(window)
    root = ET.fromstring(drawn)
    said = root.find("{http://www.w3.org/2000/svg}desc").text
    for stage in ("sugar", "orange peel", "gloss", "over-fired"):
        assert stage in said
    assert drawn.count("<polygon") == window.looks.looks
    assert time_line_svg(window) == drawn

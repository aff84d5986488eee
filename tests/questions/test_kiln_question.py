"""The kiln question: by name, described, without degrees, and the refusals."""

from __future__ import annotations

import json

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.metal import metal
from enamelwright.errors import EnamelwrightError
from enamelwright.questions.question import question

ASK = question("kiln").ask


def test_a_kiln_of_the_bench_by_name() -> None:
    bench = Bench(kilns=(Kiln(name="one", preset="fibre small"), Kiln(name="two", preset="fibre large")))
    first, named = ASK({}, bench).payload, ASK({"name": "two"}, bench).payload
    assert first.kiln == "one"
    assert named.kiln == "two"
    assert named.energy_of_the_day.value > first.energy_of_the_day.value


def test_an_observation_says_what_it_changed() -> None:
    payload = ASK({"kiln": {"name": "k", "time_to_set_min": 16}}).payload
    assert len(payload.learned) == 1
    assert "16 min" in payload.learned[0]


def test_a_price_makes_a_cost() -> None:
    payload = ASK({"price_per_kwh": 0.4}).payload
    assert payload.cost_of_the_day.value == pytest.approx(0.4 * payload.energy_of_the_day.value / 3.6e6)
    assert ASK({}).payload.cost_of_the_day is None


@pytest.mark.parametrize("kiln", [{"kind": "electric, no read-out"}, {"control": "dial"}])
def test_a_kiln_without_degrees_is_told_none(kiln) -> None:
    answer = ASK({"kiln": {"name": "k", **kiln}})
    text = json.dumps(answer.to_json(), ensure_ascii=False)
    assert "°C" not in text.replace(answer.cautions[0], "") or all("°C" not in line for line in answer.because)
    assert answer.payload.set_point is None
    assert answer.payload.reads_low is None
    assert answer.payload.heats_up.value > 0
    assert any("no degrees" in line for line in answer.assumptions)


def test_a_torch_has_no_chamber() -> None:
    answer = ASK({"kiln": {"name": "burner", "kind": "torch"}})
    assert answer.payload.hold_power is None
    assert "stage" in answer.because[0]


@pytest.mark.parametrize(
    "wrong",
    [
        {"kiln": {"name": "k", "power_w": 0}},
        {"kiln": {"name": "k", "wall_mm": 0}},
        {"kiln": {"name": "k", "power_w": 250}},
        {"kiln": {"name": "k", "wall_mm": 390, "width_mm": 40}},
        {"kiln": {"name": "k", "width_mm": 12}},
        {"name": "nobody's"},
        {"name": "k", "kiln": {"name": "k"}},
        {"set_point_c": 20},
        {"turn_s": 60},
        {"firings": 0},
        {"price_per_kwh": -1},
    ],
)
def test_bad_input_is_one_sentence(wrong) -> None:
    with pytest.raises(EnamelwrightError) as caught:
        ASK(wrong, Bench(kilns=(Kiln(name="k"),)))
    assert "nan" not in str(caught.value).lower()
    assert "\n" not in str(caught.value)


def test_a_dial_cannot_recover_by_itself_and_the_load_is_not_blamed() -> None:
    because = ASK({"kiln": {"name": "k", "control": "dial"}}).because
    told = next(line for line in because if "does not come back" in line)
    assert "dial" in told
    assert "Turn it up" in told
    assert not any("too heavy" in line for line in because)


def test_a_dial_is_told_no_display_and_no_energy_of_next_to_nothing() -> None:
    for kiln in ({"control": "dial"}, {"kind": "electric, no read-out", "preset": "muffle small"}):
        answer = ASK({"kiln": {"name": "k", **kiln}})
        assert answer.payload.display_back_after_loading is None
        assert not any("display" in line for line in answer.because)
        assert all(one.display_back_after is None for one in answer.payload.openings)
    dial = ASK({"kiln": {"name": "k", "control": "dial"}}).payload
    assert dial.next_load_after_unloading is None
    assert dial.energy_of_a_firing is None
    assert all(one.extra_energy is None for one in dial.openings)


def test_an_inside_that_takes_no_work_is_refused_by_the_name_of_the_kiln() -> None:
    with pytest.raises(EnamelwrightError, match="kiln tiny"):
        Kiln(name="tiny", width=0.02).must_hold_work()
    with pytest.raises(EnamelwrightError, match="tiny"):
        ASK({"kiln": {"name": "tiny", "width_mm": 12}})
    Kiln(name="small", width=0.1, depth=0.1, height=0.08).must_hold_work()


def test_sterling_near_its_melting_is_warned_of_at_the_hottest_the_piece_may_get() -> None:
    # The solidus is that of the table of metals.
    solidus = metal("sterling_silver").solidus.value
    window = question("window").ask
    hot = window({"metal": "sterling_silver", "set_point_c": 780})
    assert hot.payload.window.peak.high > solidus
    assert "begins to melt" in hot.cautions[0]
    assert not any("begins to melt" in line for line in window({"metal": "copper", "set_point_c": 800}).cautions)

"""A studio's own limit takes the place of a published one, is marked as its own, and never hides what it replaces."""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.health.limits import limit
from enamelwright.craft.health.own_limit import OWNED, OwnLimit, limit_words
from enamelwright.errors import EnamelwrightError
from enamelwright.questions.question import question

OWN = {"name": "cd_air_osha_pel", "value": 1.5, "source": "national rule on cadmium", "date": "2026-05-01"}


def bench(**changed: Any) -> Bench:
    return Bench(limits=(OwnLimit.from_outside({**OWN, **changed}),))


def test_dust_is_held_against_it_and_says_whose_it_is() -> None:
    asked = question("dust").example
    published = question("dust").ask(asked).payload.against[0]
    own = question("dust").ask(asked, bench()).payload.against[0]
    assert own.share.value == pytest.approx(published.share.value * limit("cd_air_osha_pel").value / 1.5)
    assert "1.5 µg/m3" in own.limit
    assert "your own" in own.stands
    assert "instead of 5 µg/m3" in own.stands
    assert "1910.1027" in own.stands


def test_glare_and_waste_go_by_it_too() -> None:
    asked = question("glare").example
    strict = bench(name="ir_eye_long", value=10)
    assert question("glare").ask(asked, strict).payload.share.high == pytest.approx(
        10 * question("glare").ask(asked).payload.share.high
    )
    spent = {"kind": "vinegar and salt", "volume_l": 0.5, "met": ["cadmium"]}
    found = question("spent-bath").ask(spent, bench(name="tc_cd", value=0.1)).payload
    assert any("0.1 mg/L" in one and "your own" in one for one in found.held_because)


@pytest.mark.parametrize("name", OWNED)
def test_each_is_named_for_a_maker(name: str) -> None:
    assert limit(name).shown().replace("ug/", "µg/") in limit_words(name)
    assert bench(name=name).limits[0].applied().unit == limit(name).unit


@pytest.mark.parametrize(
    "changed", [{"name": "pb"}, {"value": 0}, {"value": -1}, {"source": ""}, {"date": "soon"}, {"date": "2026-13-40"}]
)
def test_without_a_figure_a_source_or_a_day_it_is_refused(changed: dict[str, Any]) -> None:
    with pytest.raises(EnamelwrightError):
        bench(**changed)


@pytest.mark.parametrize(("value", "source"), [("2", "a rule"), ("2 kg", "a rule"), ("2 µg/m3", " ")])
def test_as_typed_it_needs_a_unit_that_fits_and_a_source(value: str, source: str) -> None:
    with pytest.raises(EnamelwrightError):
        OwnLimit.typed("pb_air_eu_oel", value, source, "2026-05-01")
    assert OwnLimit.typed("pb_air_eu_oel", "0.02 mg/m3", "a rule", "2026-05-01").value == pytest.approx(20)

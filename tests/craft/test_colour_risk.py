"""Risks of the fire: each speaks when its facts are there and is still when one of them changes; none alters a colour."""

from __future__ import annotations

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_risk import ALWAYS, Fired, Laid, fired_of, judged, risks_of, table, weight_of
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat
from enamelwright.craft.jar import Jar
from enamelwright.craft.metal import metal
from enamelwright.craft.rules import rules


def jar(kind: str = "transparent", family: str | None = "blue", **more: object) -> Jar:
    """A jar with a few facts."""
    optics = {} if family is None else {"family": family}
    return Jar.from_outside({"id": "J1", "name": f"{family} {kind}", "kind": kind, "optics": optics, **more})


def said(ground: str, *coats: Laid, wires: tuple[str, ...] = (), told: tuple[str, ...] = ()) -> set[str]:
    """Keys of the risks of a stack."""
    fired = Fired(metal(ground), coats, tuple(metal(wire) for wire in wires))
    return {one.risk for one in risks_of(fired, told)}


MM = 1e-3
FLUX, BLUE, RED = jar("flux", "clear"), jar(), jar(family="red")
WHITE, OPAL, CADMIUM = jar("opaque", "white"), jar("opal", "white"), jar("opaque", "orange", hazards={"cadmium": "yes"})
LEADED = jar("transparent", "green", hazards={"lead": "yes", "cadmium": "no"})

#: (risk, stack that has it, the same with one fact changed)
BOTH_WAYS = [
    ("WARM-ON-SILVER", ("fine silver", Laid(RED)), ("fine silver", Laid(FLUX), Laid(RED))),
    ("WARM-ON-SILVER", ("fine silver", Laid(RED)), ("fine silver", Laid(BLUE))),
    (
        "WARM-ON-SILVER",
        ("fine silver", Laid(jar(family=None, gold_bearing=True))),
        ("fine silver", Laid(jar(family="blue", gold_bearing=True))),
    ),
    ("WHITE-ON-SILVER", ("fine silver", Laid(OPAL)), ("copper", Laid(OPAL))),
    ("WHITE-ON-SILVER", ("fine silver", Laid(WHITE)), ("fine silver", Laid(FLUX), Laid(WHITE))),
    ("FLUX-ON-SILVER", ("fine silver", Laid(FLUX), Laid(BLUE)), ("copper", Laid(FLUX), Laid(BLUE))),
    ("MANY-FIRINGS", ("copper", Laid(RED, firings=6)), ("copper", Laid(RED, firings=2))),
    ("MANY-FIRINGS", ("copper", Laid(RED, firings=6)), ("copper", Laid(BLUE, firings=6))),
    ("GOLD-ON-COPPER", ("copper", Laid(jar(gold_bearing=True))), ("copper", Laid(FLUX), Laid(jar(gold_bearing=True)))),
    ("RED-FILM", ("copper", Laid(FLUX), Laid(BLUE)), ("copper", Laid(FLUX), Laid(WHITE))),
    ("THIN-ON-COPPER", ("copper", Laid(WHITE, 0.06 * MM)), ("copper", Laid(WHITE, 0.2 * MM))),
    ("THIN-ON-COPPER", ("copper", Laid(WHITE, 0.06 * MM)), ("fine silver", Laid(WHITE, 0.06 * MM))),
    ("CADMIUM-ON-COPPER", ("copper", Laid(CADMIUM)), ("copper", Laid(WHITE), Laid(CADMIUM))),
    ("DARK-ON-COPPER", ("copper", Laid(BLUE)), ("copper", Laid(FLUX), Laid(BLUE))),
    ("CADMIUM-HEAT", ("copper", Laid(CADMIUM), Laid(FLUX)), ("copper", Laid(FLUX), Laid(CADMIUM))),
    ("CADMIUM-BY-LEAD", ("copper", Laid(LEADED), Laid(CADMIUM)), ("copper", Laid(FLUX), Laid(CADMIUM))),
    ("OPAL-TIME", ("copper", Laid(OPAL, firings=7)), ("copper", Laid(OPAL, firings=2))),
]  # fmt: skip


@pytest.mark.parametrize(("risk", "has", "has_not"), BOTH_WAYS)
def test_both_ways(risk, has, has_not):
    assert risk in said(*has)
    assert risk not in said(*has_not)


def test_every_row_is_judged_and_tried():
    assert judged() == set(table())
    assert {risk for risk, _, _ in BOTH_WAYS} | ALWAYS == set(table())


def test_silver_wire_counts_too():
    assert "WHITE-ON-SILVER" in said("copper", Laid(FLUX), Laid(OPAL), wires=("fine silver",))
    assert "WHITE-ON-SILVER" not in said("copper", Laid(FLUX), Laid(OPAL), wires=("copper",))


def test_rules_it_leans_on_exist_and_silence_it():
    known = set(rules())
    for row in table().values():
        assert set(row.also_told_by) <= known, row.risk
        assert row.sources
        assert row.sources[-1].startswith("status: ")
    assert "WARM-ON-SILVER" not in said("fine silver", Laid(RED), told=("BAR-WARM-AG",))


def test_what_always_holds_is_told_on_asking_only():
    fired = Fired(metal("copper"), (Laid(WHITE, 0.3 * MM),))
    assert risks_of(fired) == ()
    assert {one.risk for one in risks_of(fired, always=True)} == ALWAYS


def test_unknown_facts_say_nothing():
    assert said("copper", Laid(jar("opaque", None))) == set()
    assert risks_of(Fired(metal("copper"), ())) == ()


def test_a_warning_weighs_more_than_a_note():
    warn = risks_of(Fired(metal("fine silver"), (Laid(RED),)))
    note = risks_of(Fired(metal("copper"), (Laid(BLUE),)))
    assert weight_of(warn) > weight_of(note) > 0 == weight_of(())


def test_a_foil_is_what_colours_touch():
    bench = Bench.starter().with_jars((jar(family="red"),))
    coats = (StackCoat(jar="J1", thickness=0.1 * MM),)
    on_foil = fired_of(ColourStack(metal="copper", foil="fine silver", coats=coats), bench)
    assert "WARM-ON-SILVER" in {one.risk for one in risks_of(on_foil)}

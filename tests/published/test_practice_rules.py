"""Practice of the trade: what the rules say of jobs whose outcome is published or customary.

Sources
-------
* Champleve cuff link, 2 mm base with 0.3-0.4 mm of enamel and a bare back; sterling fired at 1500 F
  (816 C); the silver-copper contact limit of 1434 F (779 C); rule of half the thickness: trade web
  pages, unverified (the contact limit agrees with the NIST silver-copper phase diagram).
* Silver wire over unbroken flux on copper at 1450 F (788 C): Guild of Enamellers journal 2017,
  eutectic enamelling (853), and common practice, no source.
* Leaded under lead-free: Glass on Metal 10(1) 1991, quoted at second hand.
* Painted plates of 0.25-0.30 mm: Glass on Metal 11(1), February 1992.
* Expansion of 258-360e-7 printed for copper enamels: a forum page, unverified; that it can only be
  cubical is computed (copper itself expands about 176e-7 per kelvin in length).
"""

from __future__ import annotations

import tomllib

import pytest

from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.craft.planner import make_plan
from enamelwright.errors import InputError

JARS = """
[[jars]]
id = "base"
name = "base"
kind = "opaque"
hazards = { lead = "no", cadmium = "no" }
[[jars]]
id = "flux"
name = "flux"
kind = "flux"
hazards = { lead = "no", cadmium = "no" }
[[jars]]
id = "leaded"
name = "leaded"
kind = "transparent"
hazards = { lead = "yes", cadmium = "no" }
[[jars]]
id = "paint"
name = "paint"
kind = "painting"
hazards = { lead = "no", cadmium = "no" }
"""


def plan(kind: str, thickness: float, technique: str, rest: str) -> Plan:
    """Plan a 30 mm disc from a whole piece file."""
    text = f"""format = 1
name = "disc"
technique = "{technique}"
[metal]
kind = "{kind}"
thickness_mm = {thickness}
[outline]
shape = "circle"
diameter_mm = 30
{rest}{JARS}"""
    return make_plan(Piece.from_outside(tomllib.loads(text)), draws=16)


def said(found: Plan, rule: str) -> set[str]:
    """Return the levels at which a rule speaks."""
    return {verdict.level for verdict in found.verdicts if verdict.rule == rule}


def coat(face: str, jar: str, rest: str = "powder_depth_mm = 0.6") -> str:
    """Write one coat."""
    return f'[[coats]]\nface = "{face}"\njar = "{jar}"\n{rest}\n'


@pytest.mark.parametrize("enamel", [0.3, 0.4])
def test_a_two_millimetre_base_needs_no_counter(enamel: float) -> None:
    """A 2 mm base with 0.3-0.4 mm of enamel needs no counter (trade web page, unverified)."""
    found = plan(
        "copper", 2.0, "champleve", f"[recess]\ndepth_mm = {enamel}\n" + coat("front", "base", 'fill = "to level"')
    )
    assert not [verdict for verdict in found.verdicts if verdict.rule.startswith("COUNTER") and verdict.level != "good"]
    assert not [line for line in found.advice if line.rule in {"COUNTER-NEED", "COUNTER-MAYBE"}]
    thin = plan("copper", 0.8, "sift_opaque", coat("front", "base", f"fired_thickness_mm = {enamel}"))
    assert said(thin, "COUNTER-NEED") == {"stop"}


STERLING = [(816, "stop"), (788, "stop"), (735, "")]


@pytest.mark.parametrize(("set_c", "level"), STERLING)
def test_sterling_stops_where_it_melts(set_c: int, level: str) -> None:
    """Sterling fired at 816 C (1500 F) must stop; solidus 788 C (trade web page, unverified)."""
    found = plan(
        "sterling", 0.9, "sift_opaque", f"[firing]\nset_c = {set_c}\n" + coat("back", "base") + coat("front", "base")
    )
    assert said(found, "ALLOY-STER-R") == ({level} if level else set())


SILVER_ON_COPPER = [("after_coat = 0", "stop"), ("glass_below = false", "stop"), ("after_coat = 1", "")]


@pytest.mark.parametrize(("how", "level"), SILVER_ON_COPPER)
def test_silver_wire_on_copper(how: str, level: str) -> None:
    """Bare silver wire on copper at 788 C stops; with fired flux between it passes."""
    wire = f'[[wires]]\nmetal = "fine silver"\nheight_mm = 1.0\nthickness_mm = 0.2\n{how}\n'
    rest = (
        "[firing]\nset_c = 788\n" + wire + coat("back", "base") + coat("front", "flux", "powder_depth_mm = 0.3")
        + coat("front", "base", 'fill = "to level"')
    )  # fmt: skip
    assert said(plan("copper", 1.0, "cloisonne_copper", rest), "CON-AGCU") == ({level} if level else set())


def test_leaded_under_lead_free_stops() -> None:
    """A lead-free layer over a leaded one stops; the other order passes."""
    back = coat("back", "base")
    wrong = plan("copper", 1.0, "transparent_direct", back + coat("front", "leaded") + coat("front", "base"))
    right = plan("copper", 1.0, "transparent_direct", back + coat("front", "base") + coat("front", "leaded"))
    assert said(wrong, "ORD-LEAD") == {"stop"}
    assert not said(right, "ORD-LEAD")


EXPANSIONS = [258, 300, 360]


@pytest.mark.parametrize("value", EXPANSIONS)
def test_an_expansion_that_can_only_be_cubical_is_refused_as_linear(value: int) -> None:
    """258-360e-7 entered as linear is refused."""
    jar = f'[[jars]]\nid = "x"\nname = "x"\nkind = "opaque"\n[jars.glass.expansion]\nvalue_e7_per_k = {value}\nkind = "linear"\n'
    with pytest.raises(InputError) as refused:
        plan("copper", 1.0, "sift_opaque", jar + coat("back", "x") + coat("front", "x"))
    assert refused.value.remedy


@pytest.mark.parametrize("value", EXPANSIONS)
def test_the_same_expansion_passes_as_cubical(value: int) -> None:
    """The same number called cubical is a third of it in length: 86-120e-7, an ordinary enamel."""
    jar = f'[[jars]]\nid = "x"\nname = "x"\nkind = "opaque"\n[jars.glass.expansion]\nvalue_e7_per_k = {value}\nkind = "cubical"\n'
    found = plan("copper", 1.0, "sift_opaque", jar + coat("back", "x") + coat("front", "x"))
    assert not said(found, "EXP-KIND")


@pytest.mark.parametrize("thickness", [0.3, 0.25])
def test_thin_painted_plates_are_exempt_from_the_half_rule(thickness: float) -> None:
    """0.25-0.30 mm copper under heavy painted enamel is not flagged by the half-thickness rule."""
    coats = (
        coat("back", "base", "powder_depth_mm = 1.6")
        + coat("front", "base")
        + coat("front", "paint", "powder_depth_mm = 0.1")
    )
    painted, sifted = (plan("copper", thickness, technique, coats) for technique in ("limoges", "sift_opaque"))
    assert not said(painted, "GLASS-HALF")
    assert said(sifted, "GLASS-HALF") == {"watch"}

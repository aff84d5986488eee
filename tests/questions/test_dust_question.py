"""Dust: what nobody has told counts as lead and cadmium, a composition overrides a label, empty sizes refuse nothing."""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.health import dust_limits
from enamelwright.craft.jar import GlassFacet, HazardFacet, Jar
from enamelwright.questions.question import question
from enamelwright.reference.loader import rows

SMALL = {"mass_g": 0.05, "time_min": 30, "washed": True}


def ask(bench: Bench | None = None, **asked: Any) -> Any:
    return question("dust").ask({**SMALL, **asked}, bench)


def jar(composition: dict[str, float] | None = None, **hazards: Any) -> Bench:
    return Bench(
        jars=(
            Jar(
                id="R1", name="ember red", kind="opaque", mesh=80, hazards=HazardFacet(**hazards),
                glass=GlassFacet(composition=composition),
            ),
        )
    )  # fmt: skip


def metals(found: Any) -> set[str]:
    return {line.split()[0] for line in found.payload.metals}


def test_without_a_jar_both_metals_are_taken_as_there() -> None:
    found = ask()
    assert metals(found) == {"lead", "cadmium"}
    assert {"Lead", "Cadmium"} <= {line.limit.split()[0] for line in found.payload.against}
    assert sum("not told" in line for line in found.assumptions) == 2


@pytest.mark.parametrize(
    ("told", "level_is_stop"),
    [({}, True), ({"cadmium_percent": 0}, True), ({"lead_percent": 0}, True), ({"lead_percent": 0, "cadmium_percent": 0}, False)],
)  # fmt: skip
def test_a_child_is_out_of_the_room_unless_both_metals_are_told_as_none(
    told: dict[str, Any], level_is_stop: bool
) -> None:
    found = ask(children=True, **told)
    assert (found.payload.level == "stop") is level_is_stop
    assert "leave the room" in found.payload.headline


def test_telling_one_metal_drops_the_other_only_with_a_word() -> None:
    found = ask(cadmium_percent=2)
    assert metals(found) == {"lead", "cadmium"}
    assert any("lead" in line and "not told" in line for line in found.assumptions)
    assert metals(ask(cadmium_percent=2, lead_percent=0)) == {"cadmium"}


def test_the_share_of_an_unknown_jar_bounds_the_compositions_we_print() -> None:
    """Lead oxide of every enamel in the project's own table, as lead: 207.2 of 223.2."""
    most = max(float(row["high"]) for row in rows("glass/enamel_compositions") if row["component"] == "PbO")
    shares = dust_limits.metals_of(jar().jars).shares
    assert shares["lead"] >= most / 100 * 207.2 / 223.2 - 5e-4


@pytest.mark.parametrize("oxide", ["PbO", "pbo", "CdO"])
def test_a_composition_overrides_a_label(oxide: str) -> None:
    found = ask(jar({"SiO2": 55, oxide: 45}, lead="no", cadmium="no"), jars=["R1"], children=True)
    metal, share = ("cadmium", 0.8754) if oxide == "CdO" else ("lead", 0.9283)
    assert metals(found) == {metal}
    assert found.payload.level == "stop"
    assert found.payload.metals[0] == f"{metal} {0.45 * share:.1%} of the mass"
    assert any("composition" in line and metal in line for line in found.cautions)


def test_a_label_without_composition_stands() -> None:
    assert metals(ask(jar(lead="no", cadmium="no"), jars=["R1"])) == set()


@pytest.mark.parametrize("density", [3500, 6000, 8500])
def test_sizes_that_hold_nothing_refuse_nothing(density: float) -> None:
    """Through 80 mesh no grain is near a millimetre, however heavy its glass."""
    assert ask(density_g_per_cm3=density / 1000).payload.dust[0].figure.high > 0

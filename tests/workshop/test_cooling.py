"""How long what came out stays too hot for the hand: more body cools longer, and what is not known is not guessed."""

from __future__ import annotations

from enamelwright.workshop.bench import bench
from enamelwright.workshop.cooling import until_touch
from enamelwright.workshop.designs import designs, keep_design, version_row
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.studio import Studio
from morning import EXAMPLES


def test_a_later_firing_with_more_glass_cools_no_sooner(studio: Studio) -> None:
    """Lumped cooling: the time to a temperature goes with the heat held by the same surface (any heat-transfer text)."""
    kept = keep_design(studio, EXAMPLES / "reedbed-brooch.toml")
    known = bench(studio)
    version = version_row(studio, kept.version)
    plan = plan_of(studio, version, known).payload
    assert len(plan.firings) > 2
    times = [until_touch(studio, kept.version, plan, one.number, known) for one in plan.firings]
    found = [one for one in times if one is not None]
    assert len(found) == len(times)
    assert all(one.low < one.value < one.high for one in found)
    heats = {one.window.set_point.value for one in plan.firings if one.window and one.window.set_point}
    if len(heats) == 1:
        assert [one.value for one in found] == sorted(one.value for one in found)
    assert until_touch(studio, kept.version, plan, 99, known) is None
    assert until_touch(studio, kept.version, plan, 0, known) is None
    assert until_touch(studio, kept.version, plan, 1, known) is times[0], "asked twice, worked out once"
    assert designs(studio)

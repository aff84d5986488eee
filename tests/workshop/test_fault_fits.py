"""Faults are offered by metal, technique and jars (common practice, no source)."""

from __future__ import annotations

from enamelwright.workshop.fault_fits import unlikely
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio


def test_a_fault_of_another_metal_or_technique_is_not_offered_first(studio: Studio) -> None:
    copper = unlikely(studio, start_pieces(studio, 1, metal="copper")[0])
    assert {"fluxag", "yellowedge"} <= copper
    assert "fluxcu" not in copper, "a copper piece of unknown jars may carry flux"
    silver = unlikely(studio, start_pieces(studio, 1, metal="fine silver")[0])
    assert {"fluxcu", "green"} <= silver
    assert not {"fluxag", "yellowedge"} & silver
    unknown = unlikely(studio, start_pieces(studio, 1)[0])
    assert not {"fluxag", "fluxcu", "bubbles", "wirecrack"} & unknown, "what is not known rules nothing out"

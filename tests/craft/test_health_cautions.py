"""Cautions of a plan: live elements and lining with a kiln, never with a torch."""

from __future__ import annotations

from pathlib import Path

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.planner import make_plan
from enamelwright.files.piece_file import read_piece

EXAMPLE = Path(__file__).parents[2] / "examples" / "sifted-pendant.toml"


def cautions(kind: str) -> str:
    """All cautions of the example fired in one kind of kiln."""
    kilns = (Kiln(name="only", kind=kind),)
    piece = read_piece(EXAMPLE).piece
    piece = piece.model_copy(update={"firing": piece.firing.model_copy(update={"kiln": "only"})})
    return " ".join(make_plan(piece, Bench.starter().model_copy(update={"kilns": kilns})).cautions)


def test_live_elements_are_named_where_there_are_some() -> None:
    assert "Live elements" in cautions("electric")
    assert "landing spot that cannot burn" in cautions("electric")
    assert "Live elements" not in cautions("torch")
    assert "gas can leak" in cautions("torch")

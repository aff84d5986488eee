"""Cautions of a plan and a rescue: live elements and lining with a kiln, pickle and etching where they are used."""

from __future__ import annotations

from pathlib import Path

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.planner import make_plan
from enamelwright.files.piece_file import read_piece
from enamelwright.questions.question import question

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


def of_piece(**changed: object) -> str:
    """All cautions of the example with something changed about its firing."""
    piece = read_piece(EXAMPLE).piece
    piece = piece.model_copy(update={"firing": piece.firing.model_copy(update=changed)})
    return " ".join(make_plan(piece, Bench.starter()).cautions)


def test_a_bath_is_cautioned_about_where_a_step_goes_into_one() -> None:
    with_pickle, without = of_piece(pickle=True), of_piece(pickle=False)
    assert "acid into water" in with_pickle
    assert "hand them in" in with_pickle
    assert "acid into water" not in without


def test_an_etched_piece_is_told_of_its_own_container() -> None:
    etched = read_piece(EXAMPLE.with_name("dew-bowl.toml")).piece
    assert "container of its own" in " ".join(make_plan(etched, Bench.starter()).cautions)


def test_taking_enamel_off_never_means_fluoride() -> None:
    found = question("rescue").ask({"fault": "chip"})
    assert "strip" in {one.way for one in found.payload.ways}
    assert any("never hydrofluoric" in line for line in found.cautions)

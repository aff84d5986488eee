"""Weigh out says what is known, and no more: where nobody worked out the bow, no amount is called good."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.weighing_out import around, bow_of, weighing

if TYPE_CHECKING:
    from starlette.testclient import TestClient

    from enamelwright.workshop.studio import Studio

EXAMPLES = Path(__file__).parents[2] / "examples"


def test_no_amount_is_good_where_the_bow_is_not_known(client: TestClient, studio: Studio) -> None:
    version = keep_design(studio, EXAMPLES / "dipped-bead.toml").version
    (row,) = start_pieces(studio, 1, version)
    one = weighing(studio, row.number)
    assert bow_of(one.plan) is None
    part = client.get(f"/weigh/{row.number}/around?coat=1").text
    assert "level-good" not in part
    assert part.count("not known") >= len(around(one, (0.8, 1.0, 1.2)))


def test_what_stands_against_the_piece_is_repeated(client: TestClient, studio: Studio) -> None:
    version = keep_design(studio, EXAMPLES / "sifted-pendant.toml").version
    (row,) = start_pieces(studio, 1, version)
    (found,) = around(weighing(studio, row.number, 1), (1.0,))
    part = client.get(f"/weigh/{row.number}/around?coat=1").text
    assert not found.worse
    for verdict in found.standing:
        assert verdict.words.split(".")[0] in part

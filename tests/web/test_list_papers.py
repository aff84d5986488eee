"""Lists on paper with long names and many lines: all of it is told, and nothing is over the edge or over anything else."""

from __future__ import annotations

import io
import re

import pytest
from pdf_words import badly_set
from pypdf import PdfReader

from enamelwright.cards.press import press
from enamelwright.craft.piece import Piece
from enamelwright.web import paper_lists
from enamelwright.web.papers import Sheet
from enamelwright.workshop import costing, cut_designs, designs, orders, outlets, selling
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.settings import NAME, set_setting
from enamelwright.workshop.studio import Studio

LONG = "Lantern pendant with an uncommonly long name that goes on and on to the very end"
HOUSE = "The invented workshop by the long river bend, at the sign of the heron"


@pytest.fixture
def lantern(studio: Studio) -> str:
    """A design with a long name, in a house with one."""
    told = cut_designs.cut_designs(studio)[0].piece.to_outside() | {"name": LONG[:80]}
    designs.keep_design(studio, Piece.from_outside(told))
    set_setting(studio, NAME, HOUSE)
    return LONG[:80]


def words_of(sheet: Sheet) -> str:
    """The words of a paper that is well set, without blanks and breaks and without the foot of each page."""
    reader = PdfReader(io.BytesIO(press(sheet.template, sheet.data)))
    assert badly_set(reader) == []
    told = "".join(re.sub(r"page \d+ of \d+", "", page.extract_text()) for page in reader.pages)
    return re.sub(r"[\s\u200b]", "", told)


def plain(text: str) -> str:
    return text.replace(" ", "")


@pytest.mark.parametrize(("each", "agreed"), [("1234.567 KWD", "2000000 KWD"), ("1234567 JPY", "9999999 JPY")])
def test_an_offer_and_a_bill_of_many_lines_tell_all_of_them(
    studio: Studio, lantern: str, each: str, agreed: str
) -> None:
    costing.set_costing(studio, {"tax": "19 %"})
    options = [f"blue over silver as tile 2026-{n:03d} shows it at its thinnest, with a rim" for n in range(12)]
    order = orders.take_order(
        studio, "Six discs for a wall, warm in the middle and cold at the edges. " * 8, agreed=agreed, state="agreed",
        options=options, approved_look="tile 2026-031", due_on="2026-12-18", deposit_due_on="2026-12-01",
    )  # fmt: skip
    work = [f"hanging them where the customer says, with wires and hooks that hold, room {n}" for n in range(30)]
    for what in work:
        orders.add_line(studio, order.id, what, each=each)
        orders.add_line(studio, order.id, design=lantern, count=1000, each=each)
    orders.pay(studio, "deposit", f"100 {each.split()[1]}", order=order.id)
    for what in ("offer", "bill"):
        told = words_of(paper_lists.order_paper(studio, order.number, what))
        assert told.count(plain(lantern)) == 30
        assert all(plain(line) in told for line in work), "who pays for it reads all of it"
        assert all(plain(one) in told for one in options), "who chooses reads all of them"
        assert plain(f"{agreed.split()[0]}") in told
        assert "ofittax,19%" in told


def test_lists_of_pieces_tell_label_and_second_after_a_long_name(studio: Studio, lantern: str) -> None:
    gallery = selling.keep_outlet(studio, "The gallery beside the old bridge over the river", "gallery", 0.4)
    selling.set_price(studio, "1234.50 EUR", design=lantern)
    made = start_pieces(studio, 40, lantern, labels=[f"a label of some length {n}" for n in range(40)])
    for n, one in enumerate(made):
        finish_piece(studio, one.id, "second" if n % 5 == 0 else "finished")
    packed = words_of(paper_lists.packing(studio, [str(one.number) for one in made]))
    outlets.take_there(studio, gallery, [one.number for one in made])
    left = words_of(paper_lists.consignment(studio, str(gallery)))
    ways = ((outlets.BACK, ""), (outlets.SOLD, ""), (outlets.MISSING, ""))
    outlets.settle(studio, gallery, {str(one.number): ways[n % 3] for n, one in enumerate(made[:36])})
    back = words_of(paper_lists.returned(studio, str(gallery)))
    for told in (packed, left, back):
        assert told.count(",asecond") == 8
        for n in range(40):
            assert plain(f"{lantern}, a label of some length {n}") in told
    assert "12cameback,4stillthere,12missing" in back
    assert "12sold,pricestogether14814.00EUR" in back


def test_nothing_missing_is_not_told(studio: Studio, lantern: str) -> None:
    fair = selling.keep_outlet(studio, "Spring fair", "fair")
    (made,) = start_pieces(studio, 1, lantern)
    finish_piece(studio, made.id)
    selling.set_price(studio, "40 EUR", design=lantern)
    outlets.take_there(studio, fair, [made.number])
    outlets.settle(studio, fair, {str(made.number): (outlets.BACK, "")})
    told = words_of(paper_lists.returned(studio, str(fair)))
    assert "1cameback,0stillthere" in told
    assert "0missing" not in told

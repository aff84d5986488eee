"""The commands of the how-to page on orders and fairs do in a new studio what the page says."""

from __future__ import annotations

import os
import re
import shlex
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader
from terminal import Bench

from session_page import PAGE, played

HOW_TO = PAGE.parents[1] / "how-to" / "orders-and-fairs.md"
BLOCK = re.compile(r"^```\n(.*?)^```", re.DOTALL | re.MULTILINE)
SIGN = "enamelwright "
ORDER = f"{date.today().year}-C001"


def commands() -> list[list[str]]:
    """The commands of each block; an order taken now has its number from this year."""
    page = HOW_TO.read_text(encoding="utf-8").replace("2026-C001", ORDER)
    return [
        [line.removeprefix(SIGN) for line in block.splitlines() if line.startswith(SIGN)]
        for block in BLOCK.findall(page)
    ]


@dataclass(frozen=True)
class Session:
    """The studio after the page, and what its commands answered, block by block."""

    bench: Bench
    folder: Path
    said: list[list[str]]

    def paper(self, name: str) -> str:
        """The words of a paper that a command wrote."""
        return " ".join(PdfReader(self.folder / name).pages[0].extract_text().split())


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Session:
    """Everything the page types, after the page it goes on from."""
    folder = tmp_path_factory.mktemp("orders")
    played(PAGE.read_text(encoding="utf-8"), folder)
    bench, before = Bench(folder / "studio"), Path.cwd()
    os.chdir(folder)
    try:
        return Session(bench, folder, [[bench.says(*shlex.split(line)) for line in block] for block in commands()])
    finally:
        os.chdir(before)


def test_every_command_of_the_page_works_in_order(session: Session) -> None:
    take, named, look, begin, over, pay, there, settle = session.said
    assert ORDER in take[0]
    assert "180.00 EUR still to pay" in take[-1]
    offer = session.paper("offer.pdf")
    assert "as agreed" in offer
    assert "-10.00 EUR" in offer
    assert "Long Lane 12" in named[1]
    assert "Customer A Long Lane 12 12345 Nowhere" in offer
    assert "Next in" in look[0], "what is agreed on is planned before it is begun"
    assert "none is started; start them with --order-line 1" in look[1]
    assert "By the plan" in look[1]
    assert "Next in" in begin[-1]
    assert "180.00 EUR still to pay" in over[-2]
    assert ORDER in over[-1]
    assert "still to pay 180.00 EUR" in session.paper("bill.pdf")
    assert "nothing is owed" in pay[-1]
    assert "There now: 3" in there[-3]
    assert there[-1].count(" there ") == 3
    assert "45.00 EUR has come in" in settle[0]
    became = dict(re.findall(r"(W-\d+) .*? (back|sold|missing) ", settle[1]))
    assert became == {"W-01": "back", "W-02": "sold", "W-03": "missing"}
    assert "returned" in session.paper("return.pdf")


def test_what_the_page_says_besides_works_too(session: Session, tmp_path: Path) -> None:
    """Commands named within its sentences, after those of its blocks."""
    bench = session.bench
    assert "On the bench again" in bench.says("order", "state", ORDER, "ready")
    bench.says("order", "paid", ORDER, "10 EUR", "--kind", "refund")
    assert bench.says("move", "W-03", "bench")
    assert "38.00 EUR" in bench.says("sold", "W-01", "38 EUR")
    bench.says("outlet", "keep", "Gallery", "--kind", "gallery", "--commission", "40 %")
    bench.says("outlet", "take", "Gallery", "W-03")
    bench.says("outlet", "paper", "Gallery", "commission", str(tmp_path / "left.pdf"))
    bench.says("outlet", "paper", "Spring fair", "return", str(tmp_path / "again.pdf"), "--since", "2026-01-01")
    bench.says("outlet", "settle", "Gallery", "--sold", "W-03")
    (sold,) = bench.tells("outlet", "show", "Gallery")
    assert (sold["price"], sold["came_in"]) == ("42.00 EUR", "25.20 EUR"), "the sum asked, less 40 %"
    assert "1 order stays without a name" in bench.says("order", "forget", "Customer A")
    assert "Long Lane" not in bench.says("order", "recipient", ORDER)

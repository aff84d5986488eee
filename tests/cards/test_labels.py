"""Labels: on the grid of the sheet, whole whatever is written on them, and the same bytes for the same input.

ISO 216 gives A4 as 210 x 297 mm and A6 as 105 x 148 mm; the grid fills the sheet.
"""

from __future__ import annotations

import io
import re

import pytest
from pypdf import PdfReader

from enamelwright.cards import press
from enamelwright.cards.hazard_signs import sign_words
from enamelwright.cards.labels import (
    JARS,
    LARGE,
    SHEET,
    TILES,
    Label,
    LargeLabel,
    bath_labels,
    bath_labels_data,
    label_sheet,
    label_sheet_data,
)
from enamelwright.pictures.swatch import Glass, jar_svg

MM = 72 / 25.4
BAND = jar_svg(Glass("green", "transparent"), "band", None, None, "paper", "jar")
LONG = Label(
    "J21-with-a-very-long-code-nobody-would-use", "a name as long as anybody may give to a jar of enamel powder",
    ("transparent, green, medium", "matures 790 °C · 1454 °F", "80 mesh · lot 23-4 with a long label · opened 2 Mar 2026"),
    "watch", "lead: yes; cadmium: not known, read the sheet", BAND,
)  # fmt: skip
LONG_TILE = Label(LONG.code, LONG.name, LONG.lines)  # a tile carries its own glass, so its label has no band
HOSTILE = Label('#image("x")', "$ #let x = 1 \\ <b>", ("*bold* _it_ `raw`", "@ref #sys.inputs"), "", "")


def pages_of(pdf: bytes) -> list[str]:
    return [re.sub(r"\s+", " ", page.extract_text().replace("\u200b", "")) for page in PdfReader(io.BytesIO(pdf)).pages]


@pytest.mark.parametrize("grid", [JARS, TILES], ids=["jars", "tiles"])
def test_the_grid_fills_an_a4_sheet(grid):
    assert grid.columns * grid.width == pytest.approx(210)
    assert grid.rows * grid.height == pytest.approx(297)
    page = PdfReader(io.BytesIO(label_sheet([LONG], grid, "Labels"))).pages[0]
    assert float(page.mediabox.width) / MM == pytest.approx(210, abs=0.1)
    assert float(page.mediabox.height) / MM == pytest.approx(297, abs=0.1)


@pytest.mark.parametrize(
    ("grid", "label"),
    [(JARS, Label("J1")), (JARS, LONG), (JARS, HOSTILE), (TILES, Label("J1")), (TILES, LONG_TILE), (TILES, HOSTILE)],
    ids=["jar", "long jar", "hostile jar", "tile", "long tile", "hostile tile"],
)
def test_whatever_is_written_fits(grid, label):
    data = label_sheet_data([label] * 3, grid, "Labels")
    assert press.cut_off(SHEET, data) == 0
    assert press.press(SHEET, data) == press.press(SHEET, data)


def test_a_sheet_that_is_begun_goes_on_where_it_stopped():
    text = pages_of(label_sheet([Label(f"J{n}") for n in range(1, 25)], JARS, "Labels", used=5))
    assert len(text) == 2
    assert "J19" in text[0]
    assert "J20" not in text[0]
    assert "J24" in text[1]
    assert len(pages_of(label_sheet([Label("J1")], JARS, "Labels", used=JARS.each))) == 1, (
        "a whole sheet gone is a new sheet"
    )


def test_what_a_person_wrote_is_never_read_as_markup():
    text = pages_of(label_sheet([HOSTILE], JARS, "Labels"))[0]
    assert '#image("x")' in text
    assert "*bold* _it_ `raw`" in text


def test_an_invented_label_says_so():
    assert "invented" in pages_of(label_sheet([Label("J1")], JARS, "Labels", invented=True))[0]
    assert (
        "Invented for demonstration"
        in pages_of(bath_labels([LargeLabel("Pickle", "pickle", invented=True)], "Baths"))[0]
    )


def test_a_bath_label_is_a6_tells_what_it_met_and_defers_to_local_rules():
    made = LargeLabel("Warm pickle", "pickle", (("recipe", "citric acid"), ("volume", "1.5 l")), ("lead", "cadmium"))
    pdf = bath_labels([made, LargeLabel("x" * 80, "rinse", (("note", "long words " * 30),))], "Baths")
    page = PdfReader(io.BytesIO(pdf)).pages[0]
    assert float(page.mediabox.width) / MM == pytest.approx(105, abs=0.1)
    text = pages_of(pdf)[0]
    assert "has met lead, cadmium" in text
    assert "local rules and the safety data sheet" in text
    assert "handed in on, to" in text
    assert press.cut_off(LARGE, bath_labels_data([made], "Baths")) == 0


def test_a_label_with_hazards_draws_their_signs_and_names_what_never_meets_it():
    warned = tuple(
        (sign, f"warning {n}") for n, sign in enumerate(("exclamation", "environment", "corrosion", "health"))
    )
    made = LargeLabel(
        "June", "spent bath, waste", (("contents", "vinegar, copper 3 g/L"),), ("lead",), hazards=warned,
        never="Never with bleach.",
    )  # fmt: skip
    data = bath_labels_data([made], "Baths")
    assert [told for _, told in data["labels"][0]["signs"]] == [sign_words(sign) for sign, _ in warned]
    text = pages_of(bath_labels([made], "Baths"))[0]
    assert "warning 3" in text
    assert "Never with bleach." in text
    assert press.cut_off(LARGE, data) == 0
    assert bath_labels([made], "Baths") == bath_labels([made], "Baths")


def test_a_full_label_is_cut_nowhere():
    made = LargeLabel(
        "x" * 60, "waste, until it is handed in", tuple((f"noun {n}", "some words of it " * 5) for n in range(8)),
        ("lead", "cadmium", "chromium"), hazards=tuple(("health", "a long warning of many words " * 3) for _ in range(4)),
        never="Never with a great many things that stand here in a row, one after the other, until it is full.",
    )  # fmt: skip
    assert press.cut_off(LARGE, bath_labels_data([made], "Baths")) == 0

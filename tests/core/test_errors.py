"""Errors: one line, nothing a terminal would obey, places in order, subclasses kept."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from enamelwright.errors import LONGEST_PLACE, EnamelwrightError, InputError, UnknownName


@given(st.text(), st.text(), st.text())
def test_an_error_is_one_printable_line(message: str, remedy: str, where: str) -> None:
    line = str(EnamelwrightError(message, remedy, where))
    assert line.isprintable()
    assert len(line.splitlines()) <= 1


def test_the_outer_place_comes_first_and_the_kind_is_kept() -> None:
    inner = UnknownName("no jar.", "Correct it.", "coats[2]")
    outer = inner.at("piece.toml")
    assert type(outer) is UnknownName
    assert str(outer) == "piece.toml, coats[2]: no jar. Correct it."
    assert str(inner.at("")) == str(inner)
    assert str(InputError("no.").at("")) == "no."


def test_a_place_of_thousands_of_signs_is_cut_and_keeps_its_end() -> None:
    line = str(InputError("no.", where="a" * 5000 + ", metal.kind"))
    assert len(line) < LONGEST_PLACE + 20
    assert "metal.kind: no." in line

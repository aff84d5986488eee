"""A notebook goes into the record whole and once, and what it tells of kiln and jars is learned in the same step."""

from __future__ import annotations

import hashlib

import pytest
from sqlalchemy import select

from enamelwright.errors import InputError
from enamelwright.files.notebook import preview, read_notebook
from enamelwright.files.sheet import parse_sheet
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.loads import load, load_piece, prediction
from enamelwright.records.schema.pieces import fault_seen, measure
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.store import Store
from enamelwright.workshop import notebook_in
from enamelwright.workshop.firings import firings_of
from enamelwright.workshop.notebook_in import BroughtIn, bring_in
from enamelwright.workshop.pieces import piece_row, start_pieces
from enamelwright.workshop.studio import Studio

TEXT = (
    "Date;Piece;Ofen;Temp (°C);Zeit (min);Enamel;Mesh;Fault;Bow mm;Moon\r\n"
    "3.4.2024;A1;Rosa;790;2,5;Blue 12;80;;0,3;full\r\n"
    "13.4.2024;A1;rosa;;2:30;;;crack;;\r\n"
    "14.4.2024;A2;Rosa;hot;;;;;;\r\n"
)


@pytest.fixture
def studio(store: Store) -> Studio:
    """An empty studio, on either database."""
    return Studio(store)


def write(studio: Studio, text: str = TEXT) -> BroughtIn:
    """Read and write a notebook."""
    sheet = parse_sheet(text.encode())
    return bring_in(studio, read_notebook(sheet, preview(sheet)), "old.csv", text.encode())


def test_every_row_is_a_closed_firing(studio: Studio) -> None:
    done = write(studio)
    assert (done.firings, done.pieces, done.kilns, done.before) == (3, 2, 1, False)
    first, second = firings_of(studio, "A1")
    assert (first.set_point, first.seconds) == (pytest.approx(790 + 273.15), pytest.approx(150.0))
    assert (first.firing, second.firing) == (1, 2)
    assert first.at[:10] == "2024-04-03"
    assert first.closed_at > first.at
    assert first.typed == {"set_point": "790 °C", "seconds": "2,5 min"}
    assert "Moon: full" in first.words
    assert "old.csv, line 2" in first.words
    assert piece_row(studio, "A1").number == "2024-001"
    with studio.reading() as view:
        assert view.execute(select(prediction)).all() == []
        assert view.execute(select(load.c.number)).scalars().all()[:2] == ["2024-F001", "2024-F002"]
        assert view.execute(select(coat_laid.c.mesh, coat_laid.c.words)).all() == [(80, "Enamel: Blue 12")]
        assert len(view.execute(select(fault_seen)).all()) == 1
        assert view.execute(select(measure.c.length)).scalar() == pytest.approx(0.0003)
    (unread,) = firings_of(studio, "A2")
    assert unread.set_point is None
    assert "Temp (°C): hot" in unread.words
    assert {complaint.heading for complaint in done.complaints} == {"jar"}


def test_a_row_without_a_day_is_never_written_under_today(studio: Studio) -> None:
    text = TEXT + ";A9;Rosa;790;;;;;;\r\n"
    with pytest.raises(InputError, match="lines 5"):
        write(studio, text)
    assert firings_of_all(studio) == 0
    sheet = parse_sheet(text.encode())
    done = bring_in(studio, read_notebook(sheet, preview(sheet)), "old.csv", text.encode(), leave_undated=True)
    assert done.firings == firings_of_all(studio) == 3


def firings_of_all(studio: Studio) -> int:
    """Count the pieces in all loads."""
    with studio.reading() as view:
        return len(view.execute(select(load_piece)).all())


def test_it_is_written_once(studio: Studio) -> None:
    write(studio)
    again = write(studio)
    assert again.before
    assert again.firings == 3
    with studio.reading() as view:
        assert len(view.execute(select(load_piece)).all()) == 3
    write(studio, TEXT + "14.4.2024;A3;;;;;;;;\r\n")  # another file is another notebook


def test_a_piece_that_is_known_is_used(studio: Studio) -> None:
    known = start_pieces(studio, labels=["A1"])[0]
    done = write(studio)
    assert done.pieces == 1
    with studio.reading() as view:
        assert len(view.execute(select(load_piece).where(load_piece.c.piece == known.id)).all()) == 2


def test_all_of_it_or_none(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(notebook_in, "see_fault", _break)
    with pytest.raises(ZeroDivisionError):
        write(studio)
    with studio.reading() as view:
        assert view.execute(select(load)).all() == []
        assert view.execute(select(piece_table)).all() == []
    monkeypatch.undo()
    assert not write(studio).before


def test_the_file_is_what_is_remembered(studio: Studio) -> None:
    write(studio)
    entry = f"notebook-{hashlib.sha256(TEXT.encode()).hexdigest()}"
    with studio.reading() as view:
        assert set(view.execute(select(load.c.entry)).scalars()) == {entry}


def _break(*_: object, **__: object) -> int:
    return 1 // 0

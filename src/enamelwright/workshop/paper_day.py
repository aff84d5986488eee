"""A day kept on paper, typed in as a grid: read, complained of by cell, then written all at once or not at all."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any

from enamelwright import units
from enamelwright.craft.piece import FiringHabits
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.files.notebook_fields import STAGES
from enamelwright.files.sheet import Sheet, is_formula
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.faults import see_fault
from enamelwright.workshop.firings import firings_of
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.kilns import kiln_row
from enamelwright.workshop.loads import Begun, fired
from enamelwright.workshop.paper_grid import COLUMNS, DITTO, MOST_LOADS, agreed, columns_of, names_in, one_of
from enamelwright.workshop.people import LONGEST_LABEL
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.says_two import AskedBack, ask_fired
from enamelwright.workshop.settings import setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import UNKNOWN

#: Without a time, loads of a day follow each other from noon in this step, so that their order is kept.
NOON, STEP = time(12), timedelta(minutes=1)
#: Key of the setting that says in which degrees this house writes.
DEGREES = "degrees"


@dataclass(frozen=True)
class Complaint:
    """What is wrong in one cell.

    Attributes
    ----------
    line : int
        Line of the grid.
    column : str
        Heading; empty when it is the whole line.
    words : str
        What is wrong and what to do.
    """

    line: int
    column: str
    words: str


@dataclass(frozen=True)
class PaperLoad:
    """One line of the grid, understood.

    Attributes
    ----------
    line : int
        Line of the grid.
    at : datetime
        When it went in.
    pieces : tuple of str
        Numbers of the pieces.
    new : tuple of str
        Labels of things without a number.
    told : dict
        What is said of the load, as typed with its unit.
    kiln, who, jar, grams, dried, fault : str
        As typed; empty where nothing stands.
    """

    line: int
    at: datetime
    pieces: tuple[str, ...]
    new: tuple[str, ...]
    told: Mapping[str, Any]
    kiln: str = ""
    who: str = ""
    jar: str = ""
    grams: str = ""
    dried: str = ""
    fault: str = ""


@dataclass(frozen=True)
class PaperDay:
    """A whole day, understood or complained of.

    Attributes
    ----------
    day : date
        The day.
    loads : tuple of PaperLoad
        What was understood, in order.
    complaints : tuple of Complaint
        What was not; while there is one, nothing is written.
    columns : dict of str to str
        Heading to the field it was taken for; headings left out are not in it.
    ignored : tuple of str
        Headings nobody understood; while there is one, nothing is written.
    """

    day: date
    loads: tuple[PaperLoad, ...]
    complaints: tuple[Complaint, ...]
    columns: Mapping[str, str]
    ignored: tuple[str, ...] = ()


def read_day(studio: Studio, sheet: Sheet, day: date, *, who: str = "", kiln: str = "",
             wishes: Mapping[str, str] | None = None) -> PaperDay:  # fmt: skip
    """Read a grid of loads; nothing is written.

    Parameters
    ----------
    studio : Studio
        The studio.
    sheet : Sheet
        The grid as cells; of :mod:`enamelwright.files.sheet`.
    day : date
        The day it is of.
    who, kiln : str
        Person and kiln of lines that name none.
    wishes : mapping of str to str, optional
        What a column is, where its heading does not say it; ``"-"`` keeps it as words of the load.

    Raises
    ------
    InputError
        When no column names pieces, or there are too many lines.
    """
    columns, ignored = agreed(*columns_of(sheet), wishes or {})
    fields = {field for field, _ in columns.values()}
    if not fields & {"pieces", "new"}:
        raise InputError("no column names the pieces.", "Head one 'piece' or 'new'.")
    if len(sheet.rows) > MOST_LOADS:
        raise InputError(f"a day has at most {MOST_LOADS} loads.", "Cut it up by days.")
    loads: list[PaperLoad] = []
    complaints = [Complaint(line, "", words) for line, words in sheet.complaints]
    above: dict[str, str] = {}
    last = datetime.combine(day, NOON).astimezone() - STEP
    with studio.reading():
        degrees = str(setting(studio, DEGREES, "°C"))
        for line, cells in sheet.rows:
            reader = _Line(studio, line, degrees, day, last)
            load = reader.read(sheet.headings, cells, columns, above)
            complaints += reader.complaints
            if load is not None:
                loads.append(replace(load, who=load.who or who, kiln=load.kiln or kiln))
                last = load.at
    named = {heading: field for heading, (field, _) in columns.items()}
    return PaperDay(day, tuple(loads), tuple(complaints), named, ignored)


def write_day(studio: Studio, paper: PaperDay) -> list[Begun]:
    """Write a day that was understood whole, in one transaction, and return its loads.

    Parameters
    ----------
    studio : Studio
        The studio.
    paper : PaperDay
        Of :func:`read_day`.

    Raises
    ------
    InputError
        While there are complaints, or when there is nothing to write.
    """
    if paper.complaints:
        first = paper.complaints[0]
        raise InputError(
            f"not all of it is understood (complaints: {len(paper.complaints)}); the first: {first.words}",
            "Correct the grid first.",
            f"line {first.line} {first.column}".strip(),
        )
    if paper.ignored:
        raise InputError(
            f"a column is not understood: {', '.join(paper.ignored)}.",
            f"Say what it is, or keep it as words: --column '{paper.ignored[0]}=-'.",
        )
    if not paper.loads:
        raise InputError("the grid holds no load.", "One line is one load.")
    _plan_beforehand(studio, paper)
    written = []
    with studio.writing():
        for load in paper.loads:
            hand = studio.as_person(load.who) if load.who else studio
            if load.jar:
                for piece in load.pieces:
                    lay_coat(
                        hand, piece, load.jar, on_piece=load.grams or None, dried=load.dried or None,
                        face=load.told.get("face_up"), at=load.at - STEP,
                    )  # fmt: skip
            begun = fired(hand, load.pieces, new=load.new, kiln=load.kiln, at=load.at, **load.told)
            for piece in begun.pieces:
                if load.fault:
                    see_fault(hand, piece, load.fault, load=begun.load, at=load.at)
            written.append(begun)
    return written


def _plan_beforehand(studio: Studio, paper: PaperDay) -> None:
    """Work the plans out before the record is held for writing."""
    with studio.reading():
        versions = {
            row.design_version
            for load in paper.loads
            for row in (piece_row(studio, piece) for piece in load.pieces)
            if row.design_version is not None
        }
        rows = [version_row(studio, version) for version in versions]
    for row in rows:
        with suppress(Exception):  # told of the piece when its load is written
            plan_of(studio, row)


class _Line:
    """Reads one line of the grid and gathers complaints."""

    def __init__(self, studio: Studio, line: int, degrees: str, day: date, last: datetime) -> None:
        self.studio = studio
        self.line = line
        self.degrees = degrees
        self.day = day
        self.last = last
        self.complaints: list[Complaint] = []

    def read(
        self,
        headings: tuple[str, ...],
        cells: tuple[str, ...],
        columns: Mapping[str, tuple[str, str]],
        above: dict[str, str],
    ) -> PaperLoad | None:
        got: dict[str, str] = {}
        rest: list[str] = []
        for heading, cell in zip(headings, cells, strict=True):
            if heading not in columns:
                rest += [f"{heading}: {cell}"] if cell else []
                continue
            field, unit = columns[heading]
            text = above.get(field, "") if cell.casefold() in DITTO else cell
            above[field] = text
            if text.casefold() in UNKNOWN:
                continue
            if is_formula(text) and not (field in {"pieces", "new"} and text.startswith("+")):
                self._complain(heading, "this is a formula.", "Type what it comes to.")
                continue
            try:
                got[field] = self._cell(field, text, unit)
            except EnamelwrightError as error:
                self._complain(heading, error.message, error.remedy)
        if rest:
            got["words"] = "; ".join([*([got["words"]] if "words" in got else []), *rest])
        at = self._when(got.pop("time", ""))
        pieces, new = self._pieces(got.pop("pieces", ""), got.pop("new", ""))
        if not pieces and not new and not self.complaints:
            self._complain("", "no piece is named.", "Name one, or give something new a label.")
        if "grams" in got and "jar" not in got:
            self._complain("grams", "of which jar?", "Name it in a column 'jar'.")
        self._known_already(pieces, at)
        try:
            ask_fired(self.studio, (), got)
        except AskedBack as error:
            self._complain("to gloss", error.message, "Put right which is wrong, or leave the first gloss out.")
        if self.complaints:
            return None
        own = {name: got.pop(name) for name in ("kiln", "who", "jar", "grams", "dried", "fault") if name in got}
        return PaperLoad(self.line, at, pieces, new, got, **own)

    def _cell(self, field: str, text: str, unit: str) -> str:
        """Return a cell as the use cases read it, checked."""
        dimension = COLUMNS[field][1]
        if dimension:
            return self._quantity(field, text, dimension, unit)
        if field == "stage_seen":
            return one_of(text, STAGES, "stage")
        if field == "start":
            return one_of(
                text, {"load": ("l", "door", "from load"), "recovered": ("r", "rec", "back", "from recovered")}, "start"
            )
        if field == "face_up":
            return one_of(text, {"front": ("f",), "back": ("b", "c", "counter")}, "face")
        if field == "jar":
            return str(jar_row(self.studio, text).code)
        if field == "kiln":
            row = kiln_row(self.studio, text)
            return row.name if row is not None else text
        if field == "who" and len(text) > LONGEST_LABEL:
            raise InputError(f"a label has at most {LONGEST_LABEL} signs.", "A letter is enough.")
        return text

    def _quantity(self, field: str, text: str, dimension: str, unit: str) -> str:
        if dimension == "time" and (clock := re.fullmatch(r"(\d{1,3}):([0-5]\d)", text)):
            text = f"{int(clock[1]) * 60 + int(clock[2])} s"
        elif re.fullmatch(r"[\d.,/ ]+", text):
            bare = self.degrees if dimension == "temperature" and not unit else unit or COLUMNS[field][2]
            text = f"{text.strip()} {bare}"
        units.parse(text, dimension)
        if field in {"set_point", "seconds"}:  # a slip of the finger is caught by what a firing can be
            FiringHabits.from_outside({"set" if field == "set_point" else "seconds": text})
        return text

    def _when(self, text: str) -> datetime:
        if not text:
            return self.last + STEP
        found = re.fullmatch(r"(\d{1,2})[:.h](\d{2})", text.strip())
        if not found or int(found[1]) > 23 or int(found[2]) > 59:
            self._complain("time", f"'{text[:20]}' is no time of day.", "Write it like 14:05.")
            return self.last + STEP
        return datetime.combine(self.day, time(int(found[1]), int(found[2]))).astimezone()

    def _pieces(self, text: str, new: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        labels = tuple(part.strip() for part in new.split(",") if part.strip())
        if text.startswith("+"):
            return (), (*labels, text[1:].strip())
        numbers: list[str] = []
        for name in names_in(text):
            try:
                number = str(piece_row(self.studio, name).number)
            except EnamelwrightError as error:
                self._complain("piece", error.message, error.remedy)
                continue
            if number in numbers:
                self._complain("piece", f"{name} is named twice.", "Name it once.")
            numbers.append(number)
        return tuple(numbers), labels

    def _known_already(self, pieces: tuple[str, ...], at: datetime) -> None:
        """Refuse a line that is in the record already: the sheet was typed twice."""
        minute = at.astimezone().strftime("%Y-%m-%d %H:%M")
        for piece in pieces:
            for row in firings_of(self.studio, piece):
                if datetime.fromisoformat(row.at).astimezone().strftime("%Y-%m-%d %H:%M") == minute:
                    self._complain("", f"{piece} is in load {row.number} of that minute already.", "Take the line out.")

    def _complain(self, column: str, words: str, remedy: str = "") -> None:
        self.complaints.append(Complaint(self.line, column, f"{words} {remedy}".strip()))


def told_of(load: PaperLoad) -> dict[str, Any]:
    """Return what a line says, for a preview: heading-like names to text.

    Parameters
    ----------
    load : PaperLoad
        One line.
    """
    return {
        "time": load.at.astimezone().strftime("%H:%M"), "pieces": ", ".join(load.pieces), "new": ", ".join(load.new),
        **load.told, "jar": load.jar, "grams": load.grams, "fault": load.fault, "who": load.who,
    }  # fmt: skip

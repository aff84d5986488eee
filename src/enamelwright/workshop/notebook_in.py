"""Writes the firings of somebody's own notebook into the record: all of them or none, and only once."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import asdict, dataclass, field, replace
from datetime import date, datetime, time, timedelta
from typing import Any

from pydantic import ValidationError
from sqlalchemy import func, select

from enamelwright.craft.kiln import Kiln
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.files.notebook import Complaint, Entry, Notebook
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current, moment
from enamelwright.workshop.faults import see_fault
from enamelwright.workshop.kilns import keep_kiln, kilns
from enamelwright.workshop.learned_clocks import Learned
from enamelwright.workshop.measures import take_measure
from enamelwright.workshop.notebook_foretold import PastFiring, foretell_past, lacks
from enamelwright.workshop.pauses import NOTEBOOK
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.relearning import relearn
from enamelwright.workshop.says_two import TWO_THINGS, Outcome, two_things
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.what_was_learned import kilns_learned

#: A notebook that says only the day: the firing stands at its middle, in the workshop's zone.
NOON = time(12)
#: Lines named in a complaint.
MOST_LINES = 12
#: Fields that go into the load under their own name, and those of a coat.
_OF_LOAD = ("set_point", "shown_at_load", "seconds", "to_gloss", "stage_seen", "support")
_OF_COAT = ("mesh", "weighed_before", "weighed_after")
#: What of a piece may be told for all rows of a notebook that is in the record already, and what of a row tells how it
#: would have been foretold.
_OF_A_PIECE = ("metal", "thickness", "diameter")
_OF_A_FIRING = (*_OF_A_PIECE, "set_point", "seconds", "to_gloss", "stage_seen", "support", "mesh")


@dataclass(frozen=True)
class BroughtIn:
    """What was written.

    Attributes
    ----------
    firings, pieces, kilns : int
        How many; pieces and kilns that were new.
    before : bool
        Whether this very notebook was brought in before, and nothing was written now.
    complaints : tuple of Complaint
        What was kept as words only, and rows that say two things.
    learned : tuple of str
        What its firings and those before them teach now, one sentence a kiln and one a jar.
    left_out : dict of str to int
        Why firings of it teach nothing, and how many.
    taught : int
        Of how many firings it was now worked out what had been foretold, so that they teach.
    """

    firings: int
    pieces: int
    kilns: int
    before: bool
    complaints: tuple[Complaint, ...]
    learned: tuple[str, ...] = ()
    left_out: dict[str, int] = field(default_factory=dict)
    taught: int = 0


def undated(notebook: Notebook) -> tuple[Entry, ...]:
    """Return the rows of a notebook whose day is not known.

    Parameters
    ----------
    notebook : Notebook
        Read with columns that were agreed.
    """
    return tuple(entry for entry in notebook.entries if "date" not in entry.values)


def teaches_nothing(notebook: Notebook) -> dict[str, int]:
    """Return why rows of a notebook would teach nothing as they are told, and how many; the jars are not looked up.

    Parameters
    ----------
    notebook : Notebook
        Read with columns that were agreed.
    """
    found: Counter[str] = Counter()
    for entry in notebook.entries:
        if why := lacks({"kiln": "the only one", **entry.values}):
            found[why] += 1
        elif two_things(_outcome(entry)):
            found[TWO_THINGS] += 1
    return dict(found)


def bring_in(
    studio: Studio, notebook: Notebook, name: str, content: bytes, *, leave_undated: bool = False
) -> BroughtIn:
    """Write every entry of a notebook as a closed firing, and learn from them at once.

    Each row becomes a load of its own with one piece, found by its exact number or label, else made.
    An enamel is joined to a jar only when code or name are the same; whatever cannot be placed goes
    into the words of the load.

    Parameters
    ----------
    studio : Studio
        The studio.
    notebook : Notebook
        Read with columns that were agreed.
    name : str
        What the notebook is called; said in the words of every load.
    content : bytes
        The file; the same one is written once.
    leave_undated : bool
        Leave out rows whose day is not known.

    Raises
    ------
    InputError
        When the day of a row is not known: it is never written under today.
    """
    without = undated(notebook)
    if without and not leave_undated:
        lines = ", ".join(str(entry.line) for entry in without[:MOST_LINES])
        more = " and more" if len(without) > MOST_LINES else ""
        raise InputError(
            f"the day of these rows is not known: lines {lines}{more}.",
            "Write it into the table, like 2024-04-14, or leave the rows out.",
        )
    writer = _Writer(studio, notebook, name)
    fingerprint = hashlib.sha256(content).hexdigest()
    told = studio.once(f"{NOTEBOOK}{fingerprint}", writer.write)
    # What was foretold comes after the rows, so that nobody waits for it. Cut off in between, the same notebook
    # brought in once more goes on from here.
    past = [PastFiring(**one) for one in told.get("past", ())]
    common = {name: notebook.common[name] for name in _OF_A_PIECE if name in notebook.common}
    taught, left_out = foretell_past(studio, [replace(one, values={**common, **one.values}) for one in past])
    found = relearn(studio)
    learned = _sentences(studio, found) if writer.wrote or taught else ()
    return BroughtIn(
        told["firings"], told["pieces"], told["kilns"], not writer.wrote, tuple(writer.complaints), learned, left_out,
        taught,
    )  # fmt: skip


def _sentences(studio: Studio, found: Learned) -> tuple[str, ...]:
    said = []
    for kiln in kilns_learned(studio, found):
        said.append(f"{kiln.kiln}, from {kiln.firings} firings: coats need {kiln.words} as a window without them says.")
        said += [f"{one.jar}: {one.words}, {one.how_far}, from {one.firings}." for one in kiln.jars]
    return tuple(said)


def _outcome(entry: Entry) -> Outcome:
    """Return how a row says its firing came out."""
    told = entry.values
    return Outcome(told.get("seconds"), told.get("stage_seen", ""), told.get("to_gloss"))


class _Writer:
    """Writes one notebook."""

    def __init__(self, studio: Studio, notebook: Notebook, name: str) -> None:
        self.studio, self.notebook, self.name = studio, notebook, name
        self.complaints: list[Complaint] = []
        self.pieces: dict[str, int] = {}
        self.kilns: dict[str, int | None] = {}
        self.new_pieces = self.new_kilns = 0
        self.past: list[PastFiring] = []
        self.wrote = False

    def write(self) -> dict[str, Any]:
        self.wrote = True
        dated = [entry for entry in self.notebook.entries if "date" in entry.values]
        for entry in dated:
            self._entry(entry)
        return {
            "firings": len(dated), "pieces": self.new_pieces, "kilns": self.new_kilns,
            "past": [asdict(one) for one in self.past],
        }  # fmt: skip

    def _entry(self, entry: Entry) -> None:
        values, rest = entry.values, dict(entry.rest)
        at = self._at(entry)
        piece = self._piece(entry, at)
        kiln = self._kiln(values["kiln"], entry) if "kiln" in values else self._only_kiln()
        coat = self._coat(entry, rest)
        if "kiln" in values and kiln is None:
            rest["kiln"] = values["kiln"]
        rest |= {name: entry.typed[name] for name in ("design", "diameter") if name in values}
        words = [values["words"]] if "words" in values else []
        words += [f"{heading}: {cell}" for heading, cell in rest.items()]
        words.append(f"From {self.name}, line {entry.line}.")
        of_load = {name: values[name] for name in _OF_LOAD if name in values}
        typed = {name: text for name, text in entry.typed.items() if name in of_load and text != of_load[name]}
        out = at + timedelta(seconds=values.get("seconds", 0.0))
        with self.studio.writing() as work:
            load = self.studio.add(
                load_table, number=work.number("load", at.year), kiln=kiln, at=at, closed_at=moment(out),
                words="; ".join(" ".join(one.split()) for one in words), typed=typed or None, **of_load,
            )  # fmt: skip
            firing = self._firing(piece)
            self.studio.add(load_piece, load=load, piece=piece, firing=firing, at=at)
        if coat:
            self.studio.add(coat_laid, piece=piece, load=load, at=at, **coat)
        told = {**self._piece_told(piece), **{name: values[name] for name in _OF_A_FIRING if name in values}}
        if words_of_two := two_things(_outcome(entry)):
            self._complain(entry, "", f"{TWO_THINGS}, so it teaches nothing until it is put right: {words_of_two}")
        self.past.append(PastFiring(load, piece, firing, self._name(kiln), self._code(coat.get("jar")), told))
        if "fault" in values:
            see_fault(self.studio, piece, values["fault"], load=load, at=out)
        if "bow" in values:
            take_measure(self.studio, piece, "bow", values["bow"], load=load, at=out)

    def _at(self, entry: Entry) -> datetime:
        return datetime.combine(date.fromisoformat(entry.values["date"]), NOON).astimezone()

    def _piece(self, entry: Entry, at: datetime) -> int:
        label = entry.values.get("piece") or f"{self.name}, line {entry.line}"
        if label not in self.pieces:
            with self.studio.reading() as view:
                found = view.execute(
                    select(piece_table.c.id)
                    .where((piece_table.c.number == label) | (piece_table.c.label == label))
                    .order_by(piece_table.c.id.desc())
                ).first()
            if found is not None:
                self.pieces[label] = int(found.id)
            else:
                started = self.studio.at(at)
                about = {name: entry.values[name] for name in ("metal", "thickness") if name in entry.values}
                self.pieces[label] = start_pieces(started, labels=[label], **about)[0].id
                self.new_pieces += 1
        return self.pieces[label]

    def _kiln(self, name: str, entry: Entry) -> int | None:
        if name not in self.kilns:
            with self.studio.reading() as view:
                found = view.execute(
                    select(kiln_table.c.id).where(func.lower(kiln_table.c.name) == name.lower())
                ).first()
            if found is not None:
                self.kilns[name] = int(found.id)
            else:
                try:
                    self.kilns[name] = keep_kiln(self.studio, Kiln(name=name))
                    self.new_kilns += 1
                except (ValidationError, EnamelwrightError):
                    self.kilns[name] = None
                    self._complain(entry, "kiln", "this cannot be the name of a kiln")
        return self.kilns[name]

    def _only_kiln(self) -> int | None:
        """Return the kiln of a studio that has one, as a load told without its kiln goes into it."""
        mine = kilns(self.studio)
        return int(mine[0].id) if len(mine) == 1 else None

    def _name(self, kiln: int | None) -> str:
        with self.studio.reading() as view:
            return view.execute(select(kiln_table.c.name).where(kiln_table.c.id == kiln)).scalar() or ""

    def _code(self, jar: int | None) -> str:
        with self.studio.reading() as view:
            return view.execute(select(jar_table.c.code).where(jar_table.c.id == jar)).scalar() or ""

    def _piece_told(self, piece: int) -> dict[str, Any]:
        """Return metal and gauge as the piece has them."""
        with self.studio.reading() as view:
            row = view.execute(select(piece_table).where(piece_table.c.id == piece)).one()
        return {name: getattr(row, name) for name in ("metal", "thickness") if getattr(row, name)}

    def _coat(self, entry: Entry, rest: dict[str, str]) -> dict[str, Any]:
        """Return what is known of a coat; empty when nothing is."""
        values = entry.values
        coat: dict[str, Any] = {name: values[name] for name in _OF_COAT if name in values}
        if coat:
            coat["typed"] = {name: entry.typed[name] for name in coat}
        named = values.get("jar")
        if named is not None:
            with self.studio.reading() as view:
                found = view.execute(
                    select(jar_table.c.id).where(
                        (func.lower(jar_table.c.code) == named.lower())
                        | (func.lower(jar_table.c.name) == named.lower())
                    )
                ).all()
            if len(found) == 1:
                coat["jar"] = found[0].id
            else:
                coat["words"] = f"Enamel: {named}"
                self._complain(entry, "jar", f"no jar has just this code or name: '{named}'")
        if "lot" in values:
            lot = self._lot(coat.get("jar"), values["lot"])
            if lot is not None:
                coat["lot"] = lot
            else:
                rest["lot"] = values["lot"]
        return coat

    def _lot(self, jar: int | None, label: str) -> int | None:
        if jar is None:
            return None
        with self.studio.reading() as view:
            found = view.execute(select(lot_table.c.id).where(lot_table.c.jar == jar, lot_table.c.label == label)).all()
        return int(found[0].id) if len(found) == 1 else None

    def _firing(self, piece: int) -> int:
        inside = current(load_piece, load_piece.c.load).where(load_piece.c.piece == piece).subquery()
        with self.studio.reading() as view:
            return int(view.execute(select(func.count()).select_from(inside)).scalar_one()) + 1

    def _complain(self, entry: Entry, field: str, why: str) -> None:
        self.complaints.append(Complaint(entry.line, field, str(entry.values.get(field, "")), why))

"""What a device at the bench sends, at once or hours later: one entry is done once, however often it arrives."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select

from enamelwright.errors import InputError
from enamelwright.records.errors import RecordError
from enamelwright.records.schema.house import device_entry
from enamelwright.workshop import at_kiln, selling
from enamelwright.workshop.at_kiln import Told
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.predictions import foretell
from enamelwright.workshop.studio import Studio

#: An entry id is made by the device: this many signs, letters and digits.
SHORTEST, LONGEST = 8, 64
_ID = re.compile(r"[A-Za-z0-9-]+")
#: A device whose clock is ahead may have told its entry from this far in the future.
AHEAD = timedelta(seconds=5)
#: Pieces, faults or mishaps one entry may name.
MOST = 400

#: What may be told of a load before, at a look, when it comes out, and afterwards.
_BEFORE = ("set_point", "shown_at_load", "start", "target", "face_up", "support", "idle_before", "programme", "words")
_LOOK = ("seconds", "stage_seen", "shown", "door_open", "back_in", "words")
_OUT = ("seconds", "to_gloss", "stage_seen", "shown_lowest", "cooled", "interrupted", "words")
_AFTER = ("stage_seen", "seconds", "to_gloss", "cooled", "interrupted", "words")
_EACH = ("stage_seen", "seconds", "to_gloss", "do_not_learn")
_COAT = (
    "jar", "coat", "face", "cell", "method", "weighed_before", "weighed_after", "on_piece", "weighed_out",
    "powder_depth", "mesh", "dried", "words",
)  # fmt: skip


def take(
    studio: Studio,
    entry: str,
    kind: str,
    body: Mapping[str, Any],
    *,
    device: str = "",
    device_at: str = "",
    sent_at: str = "",
    sent: str = "",
) -> dict[str, Any]:
    """Do what one entry of a device tells, once.

    Parameters
    ----------
    studio : Studio
        The studio.
    entry : str
        Made by the device, 8 to 64 letters, digits, hyphens.
    kind : str
        ``put in``, ``look``, ``out``, ``after``, ``coat``, ``sold`` or ``take back``.
    body : mapping
        What is told; a load is named by number, or by the entry that put it in: ``{"entry": ...}``.
    device : str
        What the device is called.
    device_at : str
        The device's clock when it happened, ISO 8601; now when empty.
    sent_at : str
        The device's clock when it was sent: a clock that goes wrong by hours is put right by it.
    sent : str
        What a form sent, when parts of `body` were made of it on arrival; the entry is known again by it.

    Returns
    -------
    dict
        ``words``, ``load`` and ``rows``; the same however often the entry arrives.

    Raises
    ------
    InputError
        For what cannot be read; nothing was changed.
    RecordError
        When the record refuses, or the entry id was used for something else.
    """
    if not SHORTEST <= len(entry) <= LONGEST or not _ID.fullmatch(entry):
        remedy = f"Send {SHORTEST} to {LONGEST} letters and digits."
        raise InputError("an entry needs an id of its own.", remedy, "entry")
    if kind not in KINDS:
        raise InputError(f"'{kind[:40]}' is no kind of entry.", f"Known: {', '.join(KINDS)}.", "kind")
    when = _moment(studio, device_at, sent_at)
    mine = replace(studio.telling(when), device=device.strip()[:60] or studio.device)
    told = hashlib.sha256(json.dumps([kind, sent or body], sort_keys=True, default=str).encode()).hexdigest()
    if kind == "put in" and known(studio, entry) is None:
        _foretell_first(mine, body)

    def work() -> dict[str, Any]:
        said = KINDS[kind](mine, body)
        return {"words": said.words, "load": said.load, "rows": [list(row) for row in said.rows]}

    return mine.once(entry, work, device_at=device_at, fingerprint=told)


def known(studio: Studio, entry: str) -> dict[str, Any] | None:
    """Return what an entry did; None when it never arrived.

    Parameters
    ----------
    studio : Studio
        The studio.
    entry : str
        Made by the device.
    """
    with studio.reading() as connection:
        result = connection.execute(select(device_entry.c.result).where(device_entry.c.entry == entry)).one_or_none()
    return None if result is None else dict(result.result or {})


# --- kinds ---------------------------------------------------------------------------------------


def _put_in(studio: Studio, body: Mapping[str, Any]) -> Told:
    settings: dict[str, Any] = _only(body, _BEFORE)
    if body.get("kiln"):
        settings["kiln"] = _text(body, "kiln")
    if body.get("support_owned"):
        settings["support_owned"] = _text(body, "support_owned")
    each: dict[Which, dict[str, Any]] = {
        name: _only(differs, ("position", "face_up", "support", "words")) for name, differs in _parts(body, "each")
    }
    return at_kiln.put_in(studio, _names(body, "pieces"), each, **settings)


def _look(studio: Studio, body: Mapping[str, Any]) -> Told:
    return at_kiln.looked(studio, _load(studio, body), **_only(body, _LOOK))


def _out(studio: Studio, body: Mapping[str, Any]) -> Told:
    return at_kiln.out(studio, _load(studio, body), **_only(body, _OUT))


def _after(studio: Studio, body: Mapping[str, Any]) -> Told:
    whole = body.get("whole") or {}
    if not isinstance(whole, Mapping):
        raise InputError("what holds for all did not arrive whole.", "Send it again.", "whole")
    each: dict[Which, dict[str, Any]] = {name: _only(differs, _EACH) for name, differs in _parts(body, "each")}
    faults: dict[Which, list[str]] = {
        name: _strings(found, "faults") for name, found in _mapping(body, "faults").items()
    }
    mishaps: dict[Which, str] = {name: str(what) for name, what in _mapping(body, "mishaps").items()}
    return at_kiln.came_out(
        studio, _load(studio, body), whole=_only(whole, _AFTER), each=each, faults=faults, mishaps=mishaps,
        really=bool(body.get("really")),
    )  # fmt: skip


def _coat(studio: Studio, body: Mapping[str, Any]) -> Told:
    given = _only(body, _COAT)
    who = _text(body, "who") if body.get("who") else ""
    studio = studio.as_person(who) if who else studio
    rows = []
    names = _names(body, "pieces")
    for name in names:
        rows.append(("coat_laid", lay_coat(studio, name, **given)))
    return Told(f"Laid on {', '.join(names)}.", "", tuple(rows))


def _sold(studio: Studio, body: Mapping[str, Any]) -> Told:
    """Sell a piece: told at a fair, where the bench machine did not answer."""
    told = _only(body, ("money", "outlet", "how"))
    piece = piece_row(studio, _text(body, "piece"))
    if piece.place == "sold":  # the same sale may have arrived by another way
        raise RecordError(f"{piece.number} is sold already.", "Look at its page.", "piece")
    money = str(told.pop("money", "")).strip()
    if not money:
        raise InputError("for how much?", "Write the sum that was taken.", "money")
    there = selling.sold(studio, int(piece.id), money, **told)
    return Told(f"{piece.number} is sold for {money}.", "", (("whereabouts", there),))


def _take_back(studio: Studio, body: Mapping[str, Any]) -> Told:
    entry = _text(body, "entry")
    found = known(studio, entry)
    if found is None:
        raise RecordError("what is to be taken back has not arrived.", "Send it first.", entry[:40])
    rows = [(str(name), int(row)) for name, row in found.get("rows", [])]
    return Told(at_kiln.take_back(studio, rows), str(found.get("load", "")), ())


KINDS: dict[str, Callable[[Studio, Mapping[str, Any]], Told]] = {
    "put in": _put_in, "look": _look, "out": _out, "after": _after, "coat": _coat, "sold": _sold,
    "take back": _take_back,
}  # fmt: skip


# --- reading -------------------------------------------------------------------------------------


def _foretell_first(studio: Studio, body: Mapping[str, Any]) -> None:
    """Work the plans out before the transaction, which then finds them ready and is short."""
    rows = [piece_row(studio, name) for name in _names(body, "pieces")]
    foretell(studio, rows, {})


def _moment(studio: Studio, device_at: str, sent_at: str) -> datetime:
    """Return when something happened, by the clock of this machine; never in the future."""
    now = studio.clock().astimezone()
    told = _clock(device_at, "device_at")
    if told is None:
        return now
    sent = _clock(sent_at, "sent_at")
    when = told if sent is None else now - max(timedelta(0), sent - told)
    if when > now + AHEAD:
        return now
    return min(when, now)


def _clock(text: str, where: str) -> datetime | None:
    if not text.strip():
        return None
    try:
        return datetime.fromisoformat(text.strip()).astimezone()
    except (ValueError, OverflowError, OSError) as error:
        raise InputError("this moment cannot be read.", "Send it like 2026-03-02T10:15:00Z.", where) from error


def _load(studio: Studio, body: Mapping[str, Any]) -> str:
    named = body.get("load")
    if isinstance(named, Mapping):
        entry = str(named.get("entry", ""))
        found = known(studio, entry)
        if found is None or not found.get("load"):
            raise RecordError("the load this belongs to has not arrived.", "Send what was put in first.", entry[:40])
        return str(found["load"])
    if isinstance(named, str) and named.strip():
        return named.strip()[:60]
    raise InputError("which load is meant?", "Name it by its number.", "load")


def _only(given: Any, known_names: tuple[str, ...]) -> dict[str, Any]:
    """Return the told values by known names; a name nobody knows is left out by no one but refused."""
    if not isinstance(given, Mapping):
        raise InputError("this did not arrive whole.", "Send it again.")
    picked = {name: given[name] for name in known_names if given.get(name) not in (None, "")}
    for name, value in picked.items():
        if not isinstance(value, str | int | float | bool):
            raise InputError("a value must be a word or a number.", "Send it again.", name)
        if isinstance(value, float) and (value != value or abs(value) == float("inf")):
            raise InputError("a number must be finite.", "Send it again.", name)
    return picked


def _text(body: Mapping[str, Any], name: str) -> str:
    value = body.get(name)
    if not isinstance(value, str) or not value.strip():
        raise InputError("a word is missing.", "Send it again.", name)
    return value.strip()


def _names(body: Mapping[str, Any], name: str) -> list[str]:
    return _strings(body.get(name), name)


def _strings(value: Any, name: str) -> list[str]:
    if not isinstance(value, list | tuple) or not 0 < len(value) <= MOST or not all(isinstance(v, str) for v in value):
        raise InputError(f"one to {MOST} names are expected.", "Send it again.", name)
    return [str(v) for v in value]


def _mapping(body: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    value = body.get(name) or {}
    if not isinstance(value, Mapping) or len(value) > MOST:
        raise InputError("this did not arrive whole.", "Send it again.", name)
    return value


def _parts(body: Mapping[str, Any], name: str) -> list[tuple[str, Any]]:
    return [(str(key), value) for key, value in _mapping(body, name).items()]

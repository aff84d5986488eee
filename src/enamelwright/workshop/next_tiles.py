"""Which tiles of a jar to fire next: what was tried so far, where its window is expected, and what the shelf holds."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median, median_low
from typing import Any, Literal

from pydantic import ValidationError
from sqlalchemy import Connection, Row, select

from enamelwright import units
from enamelwright.errors import InputError
from enamelwright.learning.next_tile import NEAR_HEAT, TileTried
from enamelwright.learning.tile_batch import not_before_gloss, whole_time
from enamelwright.questions.next_tile import NextTileInput, TileInput
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.schema.pieces import fault_seen
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current, first_of
from enamelwright.reference.loader import fact
from enamelwright.workshop.firing_facts import FiringFacts, firing_facts
from enamelwright.workshop.gloss_foretold import gloss_foretold
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.kept_learned import kept_odd
from enamelwright.workshop.named import Which, within
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tile_grounds import by_undercoat

#: Kinds of piece that are fired to learn.
TILES = frozenset({"test tile", "control tile", "sample", "strip"})
#: Faults of too much heat and of too little; others say nothing of the window.
BURNT = frozenset({"overfired", "redbrown", "burnoff", "fluxag", "green", "sink", "breakthrough"})
SHORT = frozenset({"dull", "cloudy", "fluxcu"})
_SHORT_STAGES = frozenset({"powder", "sugar", "orange peel"})
#: What a firing may be aimed at so that its time is that of gloss.
_GLOSS = frozenset({"gloss", "cleared", ""})
#: Newest loads the middle is taken from: a kiln moves, and what it did long ago does not count.
NEWEST = 5
#: So many times earlier than others glossed at no less heat is no gloss but a slip, where at least so many others tell.
EARLY, FEWEST = 2.0, 2
#: Where everything tried came short, the middle is this much longer than the longest of it.
BEYOND = 1.2
#: Loads that are named one by one.
NAMED = 4
#: What the fields of the question are called in a sentence.
_CALLED = {
    "loads": "loads", "shelf": "places on the shelf", "thicknesses": "powder depths", "undercoats": "undercoats",
}  # fmt: skip

_Came = Literal["short", "good", "burnt"]


@dataclass(frozen=True)
class TilesTried:
    """What is known of a jar's window before the next tile.

    Attributes
    ----------
    jar : str
        Code.
    asked : NextTileInput
        Ready to be asked.
    loads : tuple of str
        Numbers of the loads it stands on.
    of_tiles : bool
        Whether they were tiles; else pieces stand in for them.
    foretold : bool
        Whether the middle comes from a window that was foretold.
    left_out : tuple of str
        Which loads were left out and why, in ready words.
    undercoats : tuple of str
        How tiles came out over each undercoat, in ready sentences.
    kiln : str
        Name of the kiln it is about; empty when nobody said.
    """

    jar: str
    asked: NextTileInput
    loads: tuple[str, ...]
    of_tiles: bool
    foretold: bool
    left_out: tuple[str, ...] = ()
    undercoats: tuple[str, ...] = ()
    kiln: str = ""


@dataclass(frozen=True)
class _Try:
    """One load."""

    load: int
    number: str
    tile: TileInput
    target: str

    @property
    def gloss(self) -> float | None:
        """When it glossed at the latest."""
        if self.tile.first_gloss is not None:
            return self.tile.first_gloss
        return self.tile.time if self.tile.came == "good" else None


def tiles_tried(studio: Studio, jar: Which, every: Sequence[FiringFacts] | None = None, **wanted: Any) -> TilesTried:
    """Gather what was tried of a jar in the kiln it was fired in last, one try a load.

    Parameters
    ----------
    studio : Studio
        The studio.
    jar : int or str
        Row or code.
    every : sequence of FiringFacts, optional
        All firings, when they are at hand.
    **wanted
        `loads`, `shelf`, `thicknesses`, `undercoats` of the question. Without the last two, two depths are asked for
        where the shelf holds them.

    Raises
    ------
    InputError
        When more is wanted than can be asked for.
    """
    with studio.reading() as connection:
        code = jar_row(studio, jar).code
        every = firing_facts(studio) if every is None else every
        mine = [one for one in every if one.jars == (code,) and not one.facts.in_hand]
        loads, inside = _rows(connection, mine)
        used, of_tiles, kiln, elsewhere = _used(connection, mine, loads)
        faults: dict[tuple[int, int], list[Row[Any]]] = defaultdict(list)
        for row in connection.execute(
            current(
                fault_seen, fault_seen.c.load, fault_seen.c.piece, fault_seen.c.fault, fault_seen.c.place_on_piece
            ).where(within(fault_seen.c.piece, {one.piece for one in used}))
        ):
            faults[row.load, row.piece].append(row)
        name = connection.execute(select(kiln_table.c.name).where(kiln_table.c.id == kiln)).scalar() or ""
        tries, left_out = _tries(studio, used, loads, inside, faults)
        if elsewhere:
            left_out.append(f"{elsewhere} in another kiln than {name or 'the one used last'}")
        grounds = by_undercoat(connection, used, faults) if of_tiles else ()
        centre, foretold = _seen(tries), False
        if centre is None:
            centre = gloss_foretold(studio, connection, code, [one.load for one in reversed(mine)], name)
            foretold = centre is not None
            centre = _beyond(tries, centre)
    middle = (
        {} if centre is None else {"centre": centre[0], "centre_time": min(max(whole_time(centre[1]), 20.0), 7200.0)}
    )
    asked = _asked(tried=tuple(one.tile for one in tries), loads_fired=len(tries), **middle, **_with_depths(wanted))
    return TilesTried(
        code, asked, tuple(one.number for one in tries), of_tiles, foretold, tuple(left_out), grounds, name
    )


def limits(field: str) -> tuple[int, int]:
    """Return the least and the most a number of the question may be.

    Parameters
    ----------
    field : str
        ``loads`` or ``shelf``.
    """
    told = NextTileInput.model_fields[field].metadata
    return next(one.ge for one in told if hasattr(one, "ge")), next(one.le for one in told if hasattr(one, "le"))


def called(field: str) -> str:
    """Return what a field of the question is called in a sentence.

    Parameters
    ----------
    field : str
        Name.
    """
    return _CALLED[field]


def _rows(
    connection: Connection, mine: Sequence[FiringFacts]
) -> tuple[dict[int, Row[Any]], dict[tuple[int, int], Row[Any]]]:
    """Return the loads of some firings, and what was noted of each piece in them."""
    wanted, c, i = {one.load for one in mine}, load_table.c, load_piece.c
    loads = current(load_table, c.set_point, c.to_gloss, c.kiln).where(within(first_of(load_table), wanted))
    inside = current(load_piece, i.load, i.piece, i.to_gloss).where(within(i.load, wanted))
    return (
        {row.of: row for row in connection.execute(loads)},
        {(row.load, row.piece): row for row in connection.execute(inside)},
    )


def _used(
    connection: Connection, mine: Sequence[FiringFacts], loads: Mapping[int, Row[Any]]
) -> tuple[list[FiringFacts], bool, int | None, int]:
    """Return the firings that count, whether they are tiles, their kiln, and how many loads another kiln held."""
    kinds = {
        row.id: row.kind
        for row in connection.execute(
            select(piece_table.c.id, piece_table.c.kind).where(within(piece_table.c.id, {one.piece for one in mine}))
        )
    }
    tiles = [one for one in mine if kinds[one.piece] in TILES]
    used = tiles or mine
    if not used:
        return [], False, None, 0
    kiln = loads[used[-1].load].kiln
    here = [one for one in used if loads[one.load].kiln == kiln]
    return here, bool(tiles), kiln, len({one.load for one in used} - {one.load for one in here})


def _tries(
    studio: Studio,
    used: Sequence[FiringFacts],
    loads: Mapping[int, Row[Any]],
    inside: Mapping[tuple[int, int], Row[Any]],
    faults: Mapping[tuple[int, int], Sequence[Row[Any]]],
) -> tuple[list[_Try], list[str]]:
    """Return what counts, the oldest first, and which loads were left out and why."""
    by_load: dict[int, list[FiringFacts]] = defaultdict(list)
    for one in used:
        by_load[one.load].append(one)
    odd, found, left_out = kept_odd(studio), list[_Try](), list[str]()
    strange, silent = [], []
    for load, pieces in by_load.items():
        number = pieces[0].number
        if load in odd:
            strange.append(number)
            continue
        tile = _tile(pieces, loads[load], [inside.get((load, one.piece)) for one in pieces], faults)
        if tile is None:
            silent.append(number)
            continue
        found.append(_Try(load, number, tile, pieces[0].facts.target))
    if strange:
        left_out.append(f"{_named(strange)}: far off the others of the kiln")
    if silent:
        left_out.append(f"{_named(silent)}: setting, time or how it came out is not noted, or is none of a tile")
    early = [one for one in found if _too_early(one, found)]
    for slip in early[:NAMED]:
        seconds = units.show(slip.gloss or 0.0, "time", "s")
        left_out.append(f"{slip.number}: gloss after {seconds}, where others took twice as long at no less heat")
    kept = [one for one in found if one not in early]
    most = next(one.max_length for one in NextTileInput.model_fields["tried"].metadata if hasattr(one, "max_length"))
    if len(kept) > most:
        left_out.append(f"{len(kept) - most} loads before the newest {most}")
    return kept[-most:], left_out


def _tile(
    pieces: Sequence[FiringFacts],
    load: Row[Any],
    inside: Sequence[Row[Any] | None],
    faults: Mapping[tuple[int, int], Sequence[Row[Any]]],
) -> TileInput | None:
    """Return one load as a try; None where it does not tell enough."""
    outcomes: list[_Came] = [
        told for one in pieces if (told := _came(one, {row.fault for row in faults.get((one.load, one.piece), ())}))
    ]
    glossed = [row.to_gloss for row in inside if row is not None and row.to_gloss is not None]
    gloss = median(glossed) if glossed else load.to_gloss
    seconds = pieces[0].facts.seconds or gloss
    if not outcomes and gloss is not None:
        outcomes = ["good"]
    if not outcomes or load.set_point is None or not seconds:
        return None
    came: _Came = Counter(sorted(outcomes)).most_common(1)[0][0]
    if gloss is not None and (gloss > seconds or came == "short"):
        gloss = None
    try:
        return TileInput(temperature=load.set_point, time=seconds, came=came, first_gloss=gloss)
    except ValidationError:
        return None


def _came(one: FiringFacts, faults: set[str]) -> _Came | None:
    heat = faults & BURNT - ({"redbrown"} if one.facts.warm_on_bare else set())
    if one.facts.stage == "over-fired" or heat:
        return "burnt"
    if one.facts.stage in _SHORT_STAGES or faults & SHORT:
        return "short"
    return "good" if one.facts.stage else None


def _too_early(one: _Try, every: Sequence[_Try]) -> bool:
    """Whether a load glossed in less than half the time others took at no less heat: nothing is that fast."""
    if one.gloss is None:
        return False
    others = [
        other.tile.first_gloss
        for other in every
        if other is not one
        and other.tile.first_gloss is not None
        and other.tile.temperature > one.tile.temperature - NEAR_HEAT / 2
    ]
    return len(others) >= FEWEST and median(others) > EARLY * one.gloss


def _named(numbers: Sequence[str]) -> str:
    return ", ".join(numbers[:NAMED]) + (f" and {len(numbers) - NAMED} more" if len(numbers) > NAMED else "")


def _seen(tries: Sequence[_Try]) -> tuple[float, float] | None:
    """Return the setting and the time at which the newest firings to gloss came out well; None when none did."""
    good = [one.tile for one in tries if one.tile.came == "good" and one.target in _GLOSS][-NEWEST:]
    if not good:
        return None
    heat = median_low([one.temperature for one in good])
    there = [one.time for one in good if abs(one.temperature - heat) < NEAR_HEAT]
    return heat, not_before_gloss(_plain(tries), heat, median(there))


def _beyond(tries: Sequence[_Try], foretold: tuple[float, float] | None) -> tuple[float, float] | None:
    """Return a middle that is no shorter than what is known to be too short there."""
    if foretold is None and not tries:
        return None
    if foretold is None:
        heat = median_low([one.tile.temperature for one in tries])
        foretold = heat, median(one.tile.first_gloss or one.tile.time for one in tries)
    heat, seconds = foretold
    tried = _plain(tries)
    short = [one.seconds for one in tried if one.came == "short" and one.temperature > heat - NEAR_HEAT / 2]
    burnt = [one.seconds for one in tried if one.came == "burnt" and one.temperature < heat + NEAR_HEAT / 2]
    if short and seconds <= max(short) and not (burnt and min(burnt) <= max(short)):
        seconds = BEYOND * max(short)
    return heat, not_before_gloss(tried, heat, seconds)


def _plain(tries: Sequence[_Try]) -> list[TileTried]:
    return [TileTried(one.tile.temperature, one.tile.time, one.tile.came, one.tile.first_gloss) for one in tries]


def _with_depths(wanted: dict[str, Any]) -> dict[str, Any]:
    """Ask for two depths where nothing is told to differ and the shelf holds them: tiles all alike teach less."""
    if wanted.get("thicknesses") or wanted.get("undercoats"):
        return wanted
    depths = tuple(fact(f"trade/look_{look}").figure().value for look in ("thin", "just_hidden"))
    control = wanted.get("control_tile", NextTileInput.model_fields["control_tile"].default)
    shelf = wanted.get("shelf", NextTileInput.model_fields["shelf"].default)
    return {**wanted, "thicknesses": depths} if len(depths) + bool(control) <= shelf else wanted


def _asked(**values: Any) -> NextTileInput:
    """Make the question; what it refuses is told in one sentence with its own limits."""
    try:
        return NextTileInput(**values)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        field, told = str(first["loc"][0]), first.get("ctx", {})
        what = _CALLED.get(field, field)
        if first["type"] == "too_long":
            raise InputError(
                f"{told['actual_length']} {what} are too many at once.", f"Give at most {told['max_length']}."
            ) from error
        if first["type"] == "string_too_long":
            raise InputError(
                f"'{str(first['input'])[:20]}...' is too long a name.",
                f"Use at most {told['max_length']} letters.",
                field,
            ) from error
        if field in ("loads", "shelf"):
            least, most = limits(field)
            raise InputError(f"'{first['input']}' is no number of {what}.", f"Write {least} to {most}.") from error
        raise InputError(
            f"these {what} are outside what a tile can be.", "Look whether the unit is right.", field
        ) from error

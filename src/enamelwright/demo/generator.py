"""Writes the two months of the invented workshop, acting as its maker would, with outcomes drawn by the hidden truth.

Nothing is written but through the workshop's own use cases. What the script fixes is taken from it;
everything else is drawn with a seed, so that the same seed makes the same record.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any

from enamelwright.demo import truth
from enamelwright.demo.affairs import plan_affairs
from enamelwright.demo.script import CoatRow, FiringRow, InLoad, PieceRow, coats, firings, happenings, jars, pieces
from enamelwright.demo.shelf import bare_mass, plan_shelf
from enamelwright.demo.world import World
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.faults import see_fault
from enamelwright.workshop.loads import begin_load, close_load
from enamelwright.workshop.measures import take_measure
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.relearning import relearn
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tile_colours import keep_typed_colour
from enamelwright.workshop.tiles import spot

#: What a seed is when nobody names one.
USUAL_SEED = 2026
#: A coat is finished this long before it begins to dry [min].
LAYING = 2
#: No hand lays less than this share of what it means.
LEAST_LAID = 0.5
#: Below this the powder went in damp [min].
DRY_ENOUGH = 5
#: Powder is about this part glass and the rest air (common practice, no source).
PACKING = 0.5
#: Hours after which a kiln counts as never opened that day.
REMEMBERED = timedelta(hours=2)
#: Powder of the class is spooned out, not weighed piece by piece.
NOT_WEIGHED = "K"
#: From the least heat to the most.
STAGES: tuple[truth.Stage, ...] = ("powder", "sugar", "orange peel", "gloss", "cleared", "over-fired")
#: Bows are read on these days, at this hour, on everything whose label begins so; to a hundredth [mm].
BOWS: tuple[tuple[date, str], ...] = (
    (date(2026, 3, 5), "A-"),
    (date(2026, 3, 23), "A-"),
    (date(2026, 4, 28), "PB2"),
    (date(2026, 4, 30), "PC"),
)
BOW_HOUR, BOW_TOOL = time(16, 0), "straightedge and feeler gauge"
SPARE = frozenset({"A-13", "A-14", "A-15"})
#: Cracks are drawn for pieces whose outcome nobody scripted, seen on the next morning.
CRACKS_DRAWN, CRACK_SEEN = ("K", "CT"), time(9, 15)
#: From cutting a blank to its first coat.
MADE_READY = timedelta(minutes=40)
#: When the program learns from a day.
EVENING = time(22, 30)
#: A piece is looked at so long after it came out.
SEEN_COLD = timedelta(minutes=12)
#: Kinds of jar on which cleared looks like gloss.
LOOKS_LIKE_GLOSS = frozenset({"opaque", "counter", "liquid", "painting"})


@dataclass(frozen=True)
class Went:
    """One load as the door saw it: when in, how long the door stayed shut on it, on what, and the drops."""

    at: datetime
    inside: float
    heavy: bool
    drop: float
    drop_out: float


def build(studio: Studio, seed: int = USUAL_SEED, progress: Callable[[float], None] | None = None) -> World:
    """Write the whole demonstration into an empty record.

    Parameters
    ----------
    studio : Studio
        An open studio whose record holds nothing yet.
    seed : int
        Of everything that is drawn.
    progress : callable, optional
        Told the share that is done, 0 to 1.

    Returns
    -------
    World
        Which row each label of the script became.
    """
    world = World(studio, seed)
    plan_shelf(world)
    went: list[Went] = []
    for row in firings():
        _plan_firing(world, row, went)
    for day in sorted({row.day for row in firings()}):
        world.plan(datetime.combine(day, EVENING), _learn, world)
    plan_affairs(world)
    _plan_bows(world)
    _plan_cracks(world)
    _plan_readings(world)
    for told in happenings()["unfinished"]:
        world.plan(datetime.combine(told["on"], told["at"]), _begin_piece, world, told)
        for coat in told["coats"]:
            laid = datetime.combine(told["on"], told["at"]) + MADE_READY
            world.plan(laid, _lay_unfinished, world, told, coat)
    world.run(progress)
    return world


def _learn(studio: Studio, world: World) -> None:
    """Do what the program does by itself once the kiln is cold: learn from the day."""
    relearn(studio)


# --- one firing -----------------------------------------------------------------------------------


def _plan_firing(world: World, row: FiringRow, went: list[Went]) -> None:
    """Draw what the door did, and put laying, loading and unloading on the agenda."""
    dice = world.dice(row.firing, "door")
    drop, drop_out = (dice.uniform(truth.DROP_LOW, truth.DROP_HIGH) for _ in range(2))
    openings = openings_of(row, went, drop)
    waited = truth.recovered_after(openings) if row.start == "recovered" else 0.0
    inside = waited + row.seconds
    before = went[-1] if went and row.at - went[-1].at < REMEMBERED else None
    went.append(Went(row.at, inside, row.heavy, drop, drop_out))
    for coat in coats():
        if coat.firing == row.firing:
            world.plan(row.at - timedelta(minutes=row.dried + LAYING), _lay, world, row, coat)
            if truth.bubbles(coat.jar, coat.powder):
                world.plan(row.at + timedelta(seconds=inside) + SEEN_COLD, _see_bubbles, world, row, coat)
    world.plan(row.at, _begin, world, row, openings, before)
    world.plan(row.at + timedelta(seconds=inside), _close, world, row, openings)


def openings_of(row: FiringRow, went: list[Went], drop: float) -> tuple[truth.Opening, ...]:
    """Return every opening of the door that may still be felt, this load's own first.

    Parameters
    ----------
    row : FiringRow
        The load.
    went : list of Went
        Earlier loads, the last one last.
    drop : float
        What this load's own opening took [K].
    """
    openings = [truth.Opening(0.0, drop, row.heavy)]
    for load in reversed(went):
        came_in = (load.at - row.at).total_seconds()
        out = came_in + load.inside
        if openings[-1].at - out > truth.ONE_SWAP:
            openings.append(truth.Opening(out, load.drop_out))
        openings.append(truth.Opening(came_in, load.drop, load.heavy))
        if not openings[-1].counts:
            break
    return tuple(openings)


def heat_of(row: FiringRow, one: InLoad, openings: tuple[truth.Opening, ...]) -> truth.Heat:
    """Return what a load does to one of its pieces.

    Parameters
    ----------
    row : FiringRow
        The load.
    one : InLoad
        The piece in it.
    openings : tuple of Opening
        The door.
    """
    piece = pieces()[one.label]
    where = one.position if one.position in truth.HOTTER else "centre"
    return truth.fire(
        row.set_point, row.day, row.seconds, jars()[row.jar].maturity,
        truth.Body(piece.metal, piece.thickness, row.powder, row.heavy), openings, where, row.start == "recovered",
    )  # fmt: skip


def stage_as_seen(row: FiringRow, heat: truth.Heat, dice: Random) -> truth.Stage:
    """Return the stage the eye reports: now and then a neighbour of the true one."""
    true = truth.stage_at(heat.dose, reflow=row.reflow)
    kind = str(jars()[row.jar].described["kind"])
    if true == "cleared" and kind in LOOKS_LIKE_GLOSS:
        true = "gloss"
    if dice.random() >= truth.MISREAD:
        return true
    here = STAGES.index(true)
    return STAGES[min(len(STAGES) - 1, max(0, here + dice.choice((-1, 1))))]


def _begin(
    studio: Studio, world: World, row: FiringRow, openings: tuple[truth.Opening, ...], before: Went | None
) -> None:
    mine = studio.as_person(row.person)
    cold = sum(one.cold(0.0) for one in openings[1:])
    idle = (row.at - before.at).total_seconds() - before.inside if before is not None else None
    each = {
        world.pieces[one.label]: {
            name: value
            for name, value in (("face_up", one.face), ("position", one.position))
            if value not in {row.face, "centre"}
        }
        for one in row.pieces
    }
    begun = begin_load(
        mine, [world.pieces[one.label] for one in row.pieces], support_owned=row.support,
        each={piece: differs for piece, differs in each.items() if differs},
        set_point=f"{row.set_point:g} C", shown_at_load=f"{row.set_point - cold:.0f} C", start=row.start,
        target=row.target, face_up=row.face, support=row.support,
        idle_before=None if idle is None else f"{idle:.0f} s",
    )  # fmt: skip
    world.loads[row.firing] = begun.load


def _close(studio: Studio, world: World, row: FiringRow, openings: tuple[truth.Opening, ...]) -> None:
    mine = studio.as_person(row.person)
    heat = heat_of(row, row.pieces[0], openings)
    dice = world.dice(row.firing, "eye")
    lowest = row.set_point - sum(one.cold(0.0) for one in openings)
    words = "; ".join(part for part in (row.seen, row.note) if part)
    close_load(
        mine, world.loads[row.firing], seconds=f"{row.seconds:g} s", to_gloss=_to_gloss(row, heat, dice),
        stage_seen=row.stage or stage_as_seen(row, heat, dice), shown_lowest=f"{lowest:.0f} C", cooled=row.cooled,
        words=words or None, closed_at=studio.clock(),
    )  # fmt: skip


def _see_bubbles(studio: Studio, world: World, row: FiringRow, coat: CoatRow) -> None:
    """Find the bubbles of a jar full of fines that was laid too deep."""
    for label in coat.pieces or tuple(one.label for one in row.pieces):
        see_fault(
            studio.as_person(row.person), world.pieces[label], "bubbles", load=world.loads[row.firing],
            when_seen="in the kiln", place=coat.cell or None, severity="seen", healed=False,
        )  # fmt: skip


def _to_gloss(row: FiringRow, heat: truth.Heat, dice: Random) -> str | None:
    """Return seconds to the first gloss as read; nothing where nobody watched for it."""
    told = row.to_gloss
    if told is None:
        watched = row.target == "gloss" and not row.reflow and row.start == "load"
        if not watched or (heat.to_gloss is None and row.stage != "gloss"):
            return None
        true = row.seconds if heat.to_gloss is None else heat.to_gloss
        told = min(row.seconds, true + dice.uniform(-truth.GLOSS_MISREAD, truth.GLOSS_MISREAD))
    return f"{told:.0f} s"


# --- one coat -------------------------------------------------------------------------------------


def nominal_grams(piece: PieceRow, coat: CoatRow) -> float:
    """Return the powder a coat means [g]."""
    return jars()[coat.jar].density * 1e-3 * PACKING * coat.powder * piece.area * coat.share


def laid_grams(dice: Random, piece: PieceRow, coat: CoatRow) -> float:
    """Return the powder that comes to lie on a piece [g]: as scripted, else by the maker's hand."""
    if piece.label in coat.grams:
        return coat.grams[piece.label]
    return nominal_grams(piece, coat) * max(LEAST_LAID, dice.gauss(1.0, truth.HAND_SPREAD))


def _lay(studio: Studio, world: World, row: FiringRow, coat: CoatRow) -> None:
    mine = studio.as_person(row.person)
    labels = coat.pieces or tuple(one.label for one in row.pieces if one.face == coat.face)
    loss = truth.sifting_loss(row.day) if coat.method == "sift" else 0.0
    for label in labels:
        piece = pieces()[label]
        grams = laid_grams(world.dice(coat.firing, coat.jar, coat.face, label), piece, coat)
        out = grams / (1.0 - loss)
        before = bare_mass(piece) + sum(world.glass[label].values())
        weighed = not label.startswith(NOT_WEIGHED)
        lay_coat(
            mine, world.pieces[label], coat.jar, face=coat.face, cell=coat.cell or None, method=coat.method,
            weighed_before=f"{before:.2f} g" if weighed else None,
            weighed_after=f"{before + grams:.2f} g" if weighed else None,
            weighed_out=f"{out:.2f} g" if coat.method == "sift" or not weighed else None,
            powder_depth=f"{coat.powder:g} mm", mesh=jars()[coat.jar].mesh,
            holding_agent="gum" if coat.gum is not None else None, gum_ratio=coat.gum, dried=f"{row.dried:g} min",
            vapour_seen=True if row.dried < DRY_ENOUGH else None,
        )  # fmt: skip
        world.glass[label][coat.face] += grams


def _begin_piece(studio: Studio, world: World, told: Mapping[str, Any]) -> None:
    """Start pieces that are not fired before the record ends; they are made like one of the script."""
    like = pieces()[told["like"]]
    rows = start_pieces(
        studio, design=like.design, labels=told["labels"], batch=like.design + ", begun", metal=like.metal,
        thickness=f"{like.thickness:g} mm", metal_mass=f"{bare_mass(like):.2f} g",
        sheet=world.sheets[like.metal, like.thickness], owner=world.people[like.owner], invented=True,
        words=told["words"],
    )  # fmt: skip
    for row in rows:
        world.pieces[row.label] = row.id


def _lay_unfinished(studio: Studio, world: World, told: Mapping[str, Any], coat: Mapping[str, Any]) -> None:
    like = pieces()[told["like"]]
    row = CoatRow("", (), coat["face"], coat["jar"], coat["powder_mm"], 1.0, coat["method"], None, "", {})
    loss = truth.sifting_loss(told["on"]) if row.method == "sift" else 0.0
    for label in told["labels"]:
        grams = laid_grams(world.dice("unfinished", row.jar, row.face, label), like, row)
        before = bare_mass(like) + sum(world.glass[label].values())
        lay_coat(
            studio, world.pieces[label], row.jar, coat=coat["number"], face=row.face, method=row.method,
            weighed_before=f"{before:.2f} g", weighed_after=f"{before + grams:.2f} g",
            weighed_out=f"{grams / (1.0 - loss):.2f} g", powder_depth=f"{row.powder:g} mm", mesh=jars()[row.jar].mesh,
            dried=f"{told['dried_min']} min",
        )  # fmt: skip
        world.glass[label][row.face] += grams


# --- what is read and found afterwards ------------------------------------------------------------


def bow_of(world: World, label: str) -> float:
    """Return the bow of a piece with the glass that lies on it now [mm]."""
    piece = pieces()[label]
    area = piece.area / 100.0
    glass = world.glass[label]
    return truth.bow(glass["front"] / area, glass["back"] / area, piece.size, piece.thickness, piece.dome)


def _plan_bows(world: World) -> None:
    for day, start in BOWS:
        for label, piece in pieces().items():
            if label.startswith(start) and label not in SPARE:
                world.plan(datetime.combine(day, BOW_HOUR), _read_bow, world, piece)


def _read_bow(studio: Studio, world: World, piece: PieceRow) -> None:
    take_measure(
        studio.as_person("M"), world.pieces[piece.label], "bow", f"{bow_of(world, piece.label):.2f} mm",
        over=f"{piece.size:g} mm", tool=BOW_TOOL,
    )  # fmt: skip


def _plan_cracks(world: World) -> None:
    """Draw, for each piece whose outcome is not scripted, whether it cracks after its last firing."""
    last = {one.label: row for row in firings() for one in row.pieces}
    for label, row in last.items():
        if label.startswith(CRACKS_DRAWN):
            morning = datetime.combine(row.day + timedelta(days=1), CRACK_SEEN)
            world.plan(morning, _maybe_crack, world, label, row)


def _maybe_crack(studio: Studio, world: World, label: str, row: FiringRow) -> None:
    chance = truth.crack_chance(bow_of(world, label), fast=row.cooled == "quenched", damp=row.dried < DRY_ENOUGH)
    if world.dice(label, "crack").random() < chance:
        see_fault(
            studio.as_person("M"), world.pieces[label], "hairline", load=world.loads[row.firing],
            when_seen="next days", severity="seen", healed=False,
        )  # fmt: skip


def _plan_readings(world: World) -> None:
    """Read colours off tiles, each spot as deep and each number as true as hand and instrument are."""
    told = happenings()
    grounds = {spot["spot"]: spot["under"] for spot in told["tiles"]["spots"]}
    for day in told["readings"]:
        for one in day["tiles"]:
            when = datetime.combine(day["on"], day["at"])
            world.plan(when, _read_tile, world, one, {name: grounds[name] for name in one.get("spots", grounds)})


def _read_tile(studio: Studio, world: World, one: Mapping[str, Any], grounds: Mapping[str, str]) -> None:
    row = world.pieces[one["tile"]]
    for name, under in grounds.items():
        dice = world.dice(one["tile"], name, "colour")
        coat = {"jar": one["jar"], "thickness_mm": one["depth_mm"], "weighed": True}
        spot(studio, row, name, under=under, coats=[coat])
        depth = one["depth_mm"] * dice.gauss(1.0, truth.DEPTH_SPREAD)
        light, red, yellow = (
            round(number + dice.gauss(0.0, truth.READ_SPREAD), 1)
            for number in truth.tile_colour(one["jar"], under, depth)
        )
        keep_typed_colour(
            studio, one["tile"], (light, red, yellow), spot=name, light="D50", observer="2", taken="tent"
        )  # fmt: skip

"""What happens in the invented workshop around its firings: powder, kiln log, faults, tiles, stone, pickle, dust."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from itertools import cycle, islice
from typing import Any

from enamelwright.demo.script import FaultRow, faults, firings, happenings, pieces
from enamelwright.demo.selling import plan_selling
from enamelwright.demo.world import World
from enamelwright.workshop.baths import change_bath, into_waste, keep_container, note_bath, open_bath, tell_met
from enamelwright.workshop.exposure import expose
from enamelwright.workshop.faults import heal, see_fault
from enamelwright.workshop.finishing import finish_work, spend_time
from enamelwright.workshop.kilns import kiln_event_happened
from enamelwright.workshop.loads import mishap
from enamelwright.workshop.lots import change_lot, levels, lot_row, move, open_lot, take_stock, work_powder
from enamelwright.workshop.measures import take_measure
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import keep_layout, lay_spots, read_colour
from enamelwright.workshop.typed import Quantity

#: When things without an hour happen.
NOON, AFTERNOON, EVENING = time(12, 30), time(16, 45), time(21, 30)
#: Whether a fault has gone is seen once the piece is out again and cold.
HEALED_AFTER = timedelta(minutes=20)
#: One opening of the door, hands and face in its heat [s].
DOOR_OPEN = 4
#: Share of a lot that is lost on papers and brushes between two counts, at most.
LOST_UNSEEN = 0.01
#: Grams in a kilogram.
GRAMS = 1e3


def plan_affairs(world: World) -> None:
    """Put everything besides shelf and firings on the agenda."""
    told = happenings()
    loads = {row.firing: row for row in firings()}
    for fault in faults():
        when = loads[fault.firing].at + timedelta(hours=fault.hours_later)
        world.plan(when, _fault, world, fault)
        if fault.healed:
            again = next(row for row in firings() if row.at > when and fault.piece in {one.label for one in row.pieces})
            world.plan(again.at + HEALED_AFTER, _healed, world, fault)
    for one in told["mishaps"]:
        world.plan(loads[one["firing"]].at + timedelta(minutes=4), _mishap, world, one)
    for one in told["colours"]:
        for firing in one["firings"]:
            row = loads[firing]
            world.plan(row.at + timedelta(minutes=25), _colour, world, row.pieces[0].label, one)
    for one in told["kiln_events"]:
        world.plan(datetime.combine(one["on"], one["at"]), _kiln_event, one)
    for one in told["bows"]:
        world.plan(datetime.combine(one["on"], AFTERNOON), _bow, world, one)
    for one in told["finishes"]:
        world.plan(datetime.combine(one["on"], one.get("at", NOON)), _finish, world, one)
    for one in told["hand_times"]:
        world.plan(datetime.combine(one["on"], AFTERNOON), _hand_time, world, one)
    _plan_powder(world, told)
    world.plan(datetime.combine(told["begins"], time(8, 40)), _lay_out_tiles, world, told["tiles"])
    _plan_pickle(world, told["bath"], told["waste"])
    _plan_heat_and_masks(world, told["masks"])
    plan_selling(world)


# --- pieces ---------------------------------------------------------------------------------------


def _fault(studio: Studio, world: World, one: FaultRow) -> None:
    world.faults[one] = see_fault(
        studio, world.pieces[one.piece], one.fault, load=world.loads[one.firing], when_seen=one.when_seen,
        place=one.place or None, severity=one.severity, words=one.words or None,
        remedy_tried=None if one.healed else one.remedy or None, healed=None if one.healed else False,
    )  # fmt: skip


def _healed(studio: Studio, world: World, one: FaultRow) -> None:
    heal(studio, world.faults[one], one.remedy, True)


def _mishap(studio: Studio, world: World, one: Mapping[str, Any]) -> None:
    load = world.loads[one["firing"]]
    mishap(studio, one["what"], piece=world.pieces[one["piece"]], load=load, words=one["words"])


def _colour(studio: Studio, world: World, label: str, one: Mapping[str, Any]) -> None:
    spots = one.get("spots") or {None: one["words"]}
    for spot, words in spots.items():
        read_colour(studio, world.pieces[label], spot=spot, read_by="eye", words=words)


def _bow(studio: Studio, world: World, one: Mapping[str, Any]) -> None:
    piece = world.pieces[one["piece"]]
    take_measure(studio, piece, "bow", f"{one['bow_mm']} mm", over=f"{one['over_mm']} mm", tool=one["words"])


def _finish(studio: Studio, world: World, one: Mapping[str, Any]) -> None:
    told = {name: one.get(name) for name in ("grit", "wet", "words")}
    minutes = f"{one['minutes']} min"
    if "batch" in one:
        finish_work(studio, one["work"], batch=world.batches[one["batch"]], duration=minutes, **told)
    for label in one.get("pieces", ()):
        if "takes_off" in one:
            world.glass[label][one["takes_off"]] = 0.0
        finish_work(studio, one["work"], piece=world.pieces[label], duration=minutes, **told)
    if one.get("wet"):
        expose(studio, "wet stoning", person=world.people["M"], duration=minutes, wet=True)


def _hand_time(studio: Studio, world: World, one: Mapping[str, Any]) -> None:
    spend_time(
        studio, one["work"], f"{one['minutes']} min", batch=world.batches[one["batch"]], pieces=one["pieces"]
    )  # fmt: skip


def _lay_out_tiles(studio: Studio, world: World, told: Mapping[str, Any]) -> None:
    layout = keep_layout(studio, told["layout"], told["spots"])
    read = {one["tile"] for day in happenings()["readings"] for one in day["tiles"]}
    for piece in pieces().values():
        if piece.kind == "test tile" and piece.label not in read:
            lay_spots(studio, world.pieces[piece.label], layout)


# --- powder and kiln ------------------------------------------------------------------------------


def _kiln_event(studio: Studio, one: Mapping[str, Any]) -> None:
    kiln_event_happened(studio, one["what"], new_epoch=one.get("new_epoch"), words=one["words"])


def _plan_powder(world: World, told: Mapping[str, Any]) -> None:
    for one in told["powder"]:
        world.plan(datetime.combine(one["on"], time(8, 35)), _work_powder, one)
    for one in told["losses"]:
        world.plan(datetime.combine(one["on"], NOON), _lose, one)
    for one in told["lots"]:
        world.plan(datetime.combine(one["on"], AFTERNOON), _buy, one, told["currency"])
    for one in told["conditions"]:
        world.plan(datetime.combine(one["on"], NOON), _condition, one)
    for day in told["stock_counted"]:
        world.plan(datetime.combine(day, EVENING), _count, world, day)


def _work_powder(studio: Studio, one: Mapping[str, Any]) -> None:
    """Wash, sieve or dry what a jar is used from; washing is weighed before and after."""
    lot = lot_row(studio, "", one["jar"])
    weighed: dict[str, str] = {}
    if "lost_g" in one:
        grams = next(level.grams for level in levels(studio, one["jar"]) if level.lot == lot.id)
        before = (grams or 0.0) * GRAMS
        weighed = {"before": f"{before:.2f} g", "after": f"{before - one['lost_g']:.2f} g"}
    work_powder(
        studio, lot.id, one["work"], before=weighed.get("before"), after=weighed.get("after"),
        sieves=one.get("sieves"), words=one.get("words"),
    )  # fmt: skip


def _lose(studio: Studio, one: Mapping[str, Any]) -> None:
    move(studio, "lost", f"{one['grams']} g", lot=lot_row(studio, "", one["jar"]).id, words=one["words"])


def _buy(studio: Studio, one: Mapping[str, Any], currency: str) -> None:
    open_lot(
        studio, one["jar"], f"{one['jar']} of {one['on']}", grams=f"{one['grams']} g", bought_on=one["on"],
        price_minor=one["price_minor"], currency=currency, bought_from="supplier (invented)",
    )  # fmt: skip


def _condition(studio: Studio, one: Mapping[str, Any]) -> None:
    change_lot(studio, "", one["jar"], condition=one["condition"])


def _count(studio: Studio, world: World, day: date) -> None:
    """Weigh every lot; a little is always gone that nobody wrote down."""
    dice = world.dice("count", day)
    found: dict[int, Quantity] = {
        level.lot: f"{level.grams * GRAMS * (1.0 - dice.uniform(0.0, LOST_UNSEEN)):.1f} g"
        for level in levels(studio)
        if level.grams is not None
    }
    take_stock(studio, found)


# --- pickle, heat, masks --------------------------------------------------------------------------


def _plan_pickle(world: World, bath: Mapping[str, Any], waste: Mapping[str, Any]) -> None:
    """A bath lives through its dips and spills, and is drawn off into a labelled drum."""
    opened, closed = bath["opened"], bath["closed"]
    world.plan(datetime.combine(opened, time(8, 20)), _make_up, bath, waste)
    coppers: dict[date, set[str]] = {}
    for row in firings():
        labels = {one.label for one in row.pieces if pieces()[one.label].metal == "copper"}
        if labels and opened <= row.day < closed:
            coppers.setdefault(row.day, set()).update(labels)
    for n, day in enumerate(sorted(islice(cycle(coppers), bath["dips"]))):
        world.plan(datetime.combine(day, time(12, n)), _dip, bath, len(coppers[day]))
    for day in bath["spills"]:
        world.plan(datetime.combine(day, AFTERNOON), _spill, bath["name"])
    world.plan(datetime.combine(closed, AFTERNOON), _draw_off, bath, waste)


def _make_up(studio: Studio, bath: Mapping[str, Any], waste: Mapping[str, Any]) -> None:
    open_bath(
        studio, bath["name"], volume=f"{bath['volume_l']} L", recipe=bath["recipe"], invented=True,
        made_of={"kind": bath["kind"], "acid": f"{bath['acid_g']} g"},
    )  # fmt: skip
    tell_met(studio, bath["name"], bath["met"])
    keep_container(studio, waste["label"], contents="spent pickle with copper", destination=waste["destination"])


def _dip(studio: Studio, bath: Mapping[str, Any], count: int) -> None:
    note_bath(
        studio, bath["name"], "dip", pieces=count, duration="3 min", copper_area=f"{count * bath['area_each_cm2']} cm2"
    )


def _spill(studio: Studio, name: str) -> None:
    note_bath(studio, name, "spill", words="a splash on the stone sink, wiped up")


def _draw_off(studio: Studio, bath: Mapping[str, Any], waste: Mapping[str, Any]) -> None:
    volume = f"{bath['volume_l']} L"
    note_bath(studio, bath["name"], "drawn off", volume=volume)
    into_waste(
        studio, waste["label"], "spent pickle, copper estimated", bath=bath["name"], mass=f"{bath['copper_g']} g",
        volume=volume,
    )  # fmt: skip
    change_bath(studio, bath["name"], closed_on=bath["closed"])


def _plan_heat_and_masks(world: World, masks: Mapping[str, Any]) -> None:
    """Openings of the hot door, day by day and person by person, and the days on which the mask was new."""
    openings = Counter((row.day, row.person) for row in firings() for _ in ("in", "out"))
    for (day, label), times in openings.items():
        world.plan(datetime.combine(day, EVENING), _stand_at_door, world, label, times)
    for day in masks["changed"]:
        world.plan(datetime.combine(day, time(8, 25)), _new_mask, world, masks["kind"])


def _stand_at_door(studio: Studio, world: World, label: str, times: int) -> None:
    expose(studio, "open door", person=world.people[label], duration=f"{times * DOOR_OPEN} s", looks=times)


def _new_mask(studio: Studio, world: World, kind: str) -> None:
    expose(studio, "other", person=world.people["M"], mask=kind, words="mask changed")

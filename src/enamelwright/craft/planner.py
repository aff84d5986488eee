"""A piece and a bench become a plan: look up, weigh, order, set windows, judge, gather."""

from __future__ import annotations

from enamelwright.craft.bench import Bench
from enamelwright.craft.cautions import cautions_for
from enamelwright.craft.checks.clearance import clearance
from enamelwright.craft.checks.flatness import judge_flatness
from enamelwright.craft.colour.colour_advice import colour_advice, of_colour
from enamelwright.craft.laying import lay_up
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing, Operation
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.craft.rules import Case, apply_rules
from enamelwright.craft.sequence import order
from enamelwright.craft.verdict import Verdict
from enamelwright.craft.weights import totals, weigh
from enamelwright.craft.window.after import with_cooling, with_scale
from enamelwright.craft.window.budget import heat_of_coats, overfired_verdicts, turning_verdicts
from enamelwright.craft.window.window import windows_for
from enamelwright.figure import Figure, Origin

#: Draws of the first band; enough for its ends to settle to a few per cent.
FIRST_BAND = 256


def make_plan(
    piece: Piece,
    bench: Bench | None = None,
    drawn: Shape | None = None,
    draws: int = FIRST_BAND,
    near: Plan | None = None,
) -> Plan:
    """Plan one piece.

    Parameters
    ----------
    piece : Piece
        As described.
    bench : Bench, optional
        What is known of the studio; reference tables only when left out.
    drawn : Shape, optional
        The outline drawing, already read, when the outline is one.
    draws : int
        Draws behind the bands of bow and stress.
    near : Plan, optional
        The plan of a piece that differs in amounts alone, while somebody is still dragging: its windows,
        counter-coat band, cooling times and lines about colour are taken as they are. Left aside when the firings
        are not as many.

    Returns
    -------
    Plan
        The same input gives the same plan, byte for byte.

    Raises
    ------
    InputError
        One sentence naming the field and the remedy.
    """
    studio = bench if bench is not None else Bench.starter()
    layup = lay_up(piece, studio, drawn)
    weights = weigh(layup, studio)
    sequence = order(layup, weights, studio)
    known = near if near is not None and len(near.firings) == len(sequence.firings) else None
    windows = (
        windows_for(sequence.firings, layup, studio, weights)
        if known is None
        else tuple(firing.window for firing in known.firings)
    )
    firings = tuple(
        firing.model_copy(update={"window": window}) for firing, window in zip(sequence.firings, windows, strict=True)
    )
    sequence = sequence.with_firings(firings)
    heat = heat_of_coats(firings, layup, weights) if known is None else known.heat
    operations = (
        with_cooling(with_scale(sequence.operations, firings), firings, layup, weights)
        if known is None
        else known.operations
    )
    flatness, judged, remarks = judge_flatness(
        layup, weights, firings, studio, draws, known.flatness.counter if known is not None else None
    )
    case = Case(layup, weights, sequence, studio, flatness)
    verdicts, advice = apply_rules(case)
    told = {one.rule for one in verdicts} | {one.rule for one in advice + sequence.advice}
    return Plan(
        piece=piece,
        area=layup.shape.area * layup.shape.dome_area_factor(piece.dome),
        chord=layup.shape.chord,
        metal_mass=_metal_mass(layup),
        metal_name=layup.metal.name,
        weights=weights,
        operations=operations,
        firings=firings,
        flatness=flatness,
        verdicts=judged
        + verdicts
        + _clearances(layup, firings, studio)
        + turning_verdicts(heat, layup)
        + overfired_verdicts(heat, layup),
        advice=sequence.advice
        + remarks
        + advice
        + (colour_advice(case, told) if known is None else of_colour(known.advice)),
        totals=totals(weights, layup),
        cautions=cautions_for(layup, sequence.operations, studio),
        hand_time=_hand_time(sequence.operations),
        heat=heat,
        energy=_energy(firings),
    )


def _energy(firings: tuple[Firing, ...]) -> Figure | None:
    """Add up the electricity of the firings; ends add because one kiln fires them all."""
    known = [firing.window.energy for firing in firings if firing.window is not None]
    told = [figure for figure in known if figure is not None]
    if not told or len(told) < len(firings):
        return None
    return Figure(
        value=sum(figure.value for figure in told),
        low=sum(figure.low for figure in told),
        high=sum(figure.high for figure in told),
        dimension="energy",
        origin=told[0].origin,
    )


def _clearances(layup: Layup, firings: tuple[Firing, ...], bench: Bench) -> tuple[Verdict, ...]:
    """Judge the piece on each of its supports against the kiln, the first firing of each standing for all."""
    first = {firing.support: firing.number for firing in reversed(firings)}
    kiln = bench.kiln(layup.piece.firing.kiln)
    return tuple(verdict for support, number in first.items() for verdict in clearance(layup, support, kiln, number))


def _metal_mass(layup: Layup) -> Figure | None:
    """Weigh the bare metal; None where the form is not sheet."""
    if layup.piece.form != "sheet":
        return None
    volume = layup.shape.area * layup.thickness
    density = layup.metal.density
    return Figure(
        value=volume * density.value,
        low=volume * density.low,
        high=volume * density.high,
        dimension="mass",
        origin=Origin(kind="computed", source="area x thickness x density", status=density.origin.status),
    )


def _hand_time(operations: tuple[Operation, ...]) -> Figure | None:
    """Add up hand time; ends add because the same hands do every step."""
    timed = [operation.hand for operation in operations if operation.hand is not None]
    if not timed:
        return None
    return Figure(
        value=sum(figure.value for figure in timed),
        low=sum(figure.low for figure in timed),
        high=sum(figure.high for figure in timed),
        dimension="time",
        origin=Origin(
            kind="reference", source="hand minutes of ordinary practice", status="common practice, no source"
        ),
    )

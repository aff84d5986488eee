"""From a piece to its ordered operations and firings."""

from __future__ import annotations

from dataclasses import dataclass, replace

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Face, Stage
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Faces, Firing, Operation
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.sequence.cleaning import before_going_on
from enamelwright.craft.sequence.finishing import finishing
from enamelwright.craft.sequence.forms import once, spoken_advice, spoken_firings, spoken_steps
from enamelwright.craft.sequence.loads import Load, face_loads, see_through
from enamelwright.craft.sequence.mending import Mending, first_steps, mending_of
from enamelwright.craft.sequence.preparing import begun, preparing
from enamelwright.craft.sequence.sides import choose_side, merge
from enamelwright.craft.sequence.stages import target_of
from enamelwright.craft.sequence.steps import (
    after_fire,
    before_fire,
    place_backing,
    remove_backing,
    stoning,
    the_fire,
)
from enamelwright.craft.sequence.supports import Resting, backing_of, resting
from enamelwright.craft.sequence.wording import firing_words
from enamelwright.craft.sequence.workbench import Workbench
from enamelwright.craft.verdict import Advice


@dataclass(frozen=True)
class Sequence:
    """Everything done to a piece, in order.

    Parameters
    ----------
    operations : tuple of Operation
        Every step at the bench, firings among them.
    firings : tuple of Firing
        The trips into the kiln, in order.
    advice : tuple of Advice
        Why this side first, and what was decided against the file's own wish.
    """

    operations: tuple[Operation, ...]
    firings: tuple[Firing, ...]
    advice: tuple[Advice, ...] = ()

    def with_firings(self, firings: tuple[Firing, ...]) -> Sequence:
        """Return the same sequence with its firings filled in further."""
        return replace(self, firings=firings)


def order(layup: Layup, weights: tuple[CoatWeight, ...], bench: Bench) -> Sequence:
    """Derive the operations and firings of a piece from its stack and the rules of the trade.

    Order and count follow from the coats, wires, foils, cells and metal; the name of the technique is
    read only where it says what the piece is built like (open cells).

    Parameters
    ----------
    layup : Layup
        The piece with its jars looked up.
    weights : tuple of CoatWeight
        In file order; `layings` says how often each coat is laid and fired.
    bench : Bench
        House rules, kilns.

    Returns
    -------
    Sequence
        Only what remains to be done when coats are marked as fired.
    """
    choice = choose_side(layup, weights, bench)
    whole = merge(face_loads(layup, weights, "front"), face_loads(layup, weights, "back"), choice)
    whole = _with_flash(whole, layup)
    mending = mending_of(layup)
    left = [(load, index) for index, load in enumerate(_left(load, layup) for load in whole) if load is not None]
    done = len(whole) - len(left)
    advice = [choice.advice()] if layup.layers else []
    at = Workbench(layup, weights, bench, glassed={layer.coat.face for layer in layup.layers if layer.coat.fired})
    walk = _Walk(at, backing_of(layup))
    operations = [*preparing(layup), *_start(whole, done, at, mending, walk)]
    number = layup.piece.so_far.firings or done
    loads = [load for load, _ in left]
    # A repair firing is followed by a cleaning of its own, and a crack must not wait for one.
    if begun(layup) and (mending is None or mending.load is None):
        operations += before_going_on(loads, at)
    stages = [target_of(whole[index], whole[index + 1 :], layup) for _, index in left]
    if mending is not None and mending.load is not None:
        loads.insert(0, mending.load)
        stages.insert(0, target_of(mending.load, [], layup))
    firings: list[Firing] = []
    for index, (load, (stage, reason)) in enumerate(zip(loads, stages, strict=True)):
        number += 1
        last = index == len(loads) - 1
        press = mending is not None and mending.way == "press flat" and load.kind == "again"
        steps, firing, noted = walk.fire(load, number, stage, reason, last, press)
        operations += steps
        firings.append(firing)
        if noted is not None and noted not in advice:
            advice.append(noted)
    if walk.backing == "copper shell":
        operations.append(remove_backing(walk.backing))
    operations += finishing(layup)
    return Sequence(
        tuple(once(spoken_steps(operations, layup))),
        tuple(spoken_firings(firings, layup)),
        tuple(spoken_advice(advice, layup)),
    )


def _start(whole: list[Load], done: int, at: Workbench, mending: Mending | None, walk: _Walk) -> list[Operation]:
    """Return what comes before the first remaining firing: backing, repair, stoning left over."""
    steps: list[Operation] = []
    if mending is not None:
        steps += first_steps(mending)
    if walk.backing and not begun(at.layup):
        steps.append(place_backing(walk.backing))
    behind = [load for load in whole if _left(load, at.layup) is None]
    if done and behind[-1].stone:
        steps += stoning(behind[-1].stone, 0, at)
    return steps


def _left(load: Load, layup: Layup) -> Load | None:
    """Return what of a load is still to be done; None when nothing is."""
    if load.kind == "flash":
        return load
    lays = tuple(lay for lay in load.lays if not lay.layer.coat.fired)
    reached = max((layer.place for layer in layup.on("front") if layer.coat.fired), default=0)
    wires = tuple(wire for wire in load.wires if wire.after_coat >= reached)
    foils = tuple(foil for foil in load.foils if foil.after_coat >= reached)
    if not (lays or wires or foils):
        return None
    faces = tuple(
        face
        for face in load.faces
        if any(lay.layer.coat.face == face for lay in lays) or (face == "front" and (wires or foils))
    )
    why = load.why
    if len(faces) < len(load.faces):
        other = next(face for face in load.faces if face not in faces)
        why = f"The {other} already carries glass."
    return replace(load, lays=lays, wires=wires, foils=foils, faces=faces, why=why)


def _with_flash(loads: list[Load], layup: Layup) -> list[Load]:
    """Add the last bright firing where a stoned face has not been through a full firing since."""
    if layup.piece.finish != "gloss" or not loads:
        return loads
    pending: set[Face] = set()
    for index, load in enumerate(loads):
        if target_of(load, loads[index + 1 :], layup)[0] in {"gloss", "cleared", "over-fired"}:
            pending.clear()
        pending |= set(load.stone)
    opened = see_through(layup) and bool(backing_of(layup))
    if not pending and not opened:
        return loads
    faces: tuple[Face, ...] = ("front", "back") if see_through(layup) else ("front",)
    why = (
        "The back must close bright once its backing is gone."
        if opened
        else "Stoned glass is matt until it flows again."
    )
    return [*loads, Load("flash", faces, why=why)]


@dataclass
class _Walk:
    """Carry the piece through its firings, knowing what is on it."""

    at: Workbench
    backing: str

    def __post_init__(self) -> None:
        self.fused = [layer.number for layer in self.at.layup.layers if layer.coat.fired]
        self.faces = {"front": 0, "back": 0}

    def fire(
        self, load: Load, number: int, stage: Stage, reason: str, last: bool, press: bool
    ) -> tuple[list[Operation], Firing, Advice | None]:
        """Return the steps round one firing, the firing, and an advice line if its support was changed."""
        layup = self.at.layup
        steps: list[Operation] = []
        if load.kind == "flash":
            steps += self._open()
        rest = resting(load, self.at.glassed, layup, self.at.bench, bool(self.backing))
        firing = self._firing(load, number, stage, reason, last, rest)
        steps += before_fire(load, firing, self.at)
        steps.append(the_fire(firing, self.at))
        one_sided = len(self.at.glassed | set(load.faces)) == 1 and layup.piece.form == "sheet"
        self.at.glassed |= {lay.layer.coat.face for lay in load.lays}
        if see_through(layup):
            self.at.glassed |= {"front", "back"}
        self.fused += [lay.layer.number for lay in load.lays if lay.first]
        press = press or (layup.piece.firing.press_flat and one_sided and not layup.piece.dome)
        steps += after_fire(load, firing, self.at, press)
        if "back" in load.stone:
            steps += self._open()
        steps += stoning(load.stone, number, self.at)
        return steps, firing, rest.advice()

    def _open(self) -> list[Operation]:
        """Take a removable backing away."""
        if self.backing in {"", "copper shell"}:
            return []
        name, self.backing = self.backing, ""
        return [remove_backing(name)]

    def _firing(self, load: Load, number: int, stage: Stage, reason: str, last: bool, rest: Resting) -> Firing:
        fuses = tuple(sorted(lay.layer.number for lay in load.lays if lay.first))
        layup = self.at.layup
        return Firing(
            number=number,
            fuses=fuses,
            lays=tuple(sorted({lay.layer.number for lay in load.lays})),
            fill_round=load.round,
            reheats=tuple(sorted(set(self.fused) - set(fuses))),
            loaded=self._loaded(load),
            face_up=rest.face_up,
            support=rest.support,
            rests_on=rest.touches,
            target=stage,
            words=firing_words(load, stage, layup.piece.form == "sheet"),
            why=" ".join(part for part in (load.why, f"To {stage}: {reason}.") if part),
            needs_flat=self._needs_flat(load, last),
            embeds=bool(load.wires or load.foils),
            flash=load.kind == "flash",
        )

    def _loaded(self, load: Load) -> Faces:
        if load.kind == "flash" or not load.lays:
            return "none"
        if see_through(self.at.layup):
            return "front" if self.backing else "both"
        wet = {lay.layer.coat.face for lay in load.lays}
        if len(wet) == 2:
            return "both"
        return next(iter(wet))

    def _needs_flat(self, load: Load, last: bool) -> bool:
        piece = self.at.layup.piece
        if piece.form != "sheet":
            return False
        flat = piece.dome == 0
        if load.stone:
            return flat
        return last and (flat or piece.use.set_in in {"bezel", "prongs", "frame"})

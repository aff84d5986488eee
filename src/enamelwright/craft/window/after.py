"""What a firing leaves to do at the bench: scale to clean, a piece to cool, heat that every coat has had."""

from __future__ import annotations

from collections.abc import Sequence

from enamelwright.craft.cooling_times import CoolingTimes, HotPiece, leaving, times_of
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing, Operation
from enamelwright.craft.oxide_growth import cleaning_words
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.window.loaded import loaded_piece, present
from enamelwright.errors import EnamelwrightError
from enamelwright.figure import Figure

#: Coolings of one plan are alike when they differ in no more than this: the firing that is hottest stands for all.
ONE = 1


def with_scale(operations: Sequence[Operation], firings: Sequence[Firing]) -> tuple[Operation, ...]:
    """Return the steps with the scale each cleaning of a bare face meets.

    Parameters
    ----------
    operations : sequence of Operation
        In bench order.
    firings : sequence of Firing
        With their windows.
    """
    grown = {firing.number: firing.window.oxide for firing in firings if firing.window is not None}
    return tuple(_scaled(operation, grown.get(operation.firing)) for operation in operations)


def _scaled(operation: Operation, oxide: Figure | None) -> Operation:
    if operation.work != "clean oxide" or operation.face == "none" or oxide is None or oxide.value <= 0:
        return operation
    why = f"{operation.why} Expect {cleaning_words(oxide)}.".strip()
    return operation.model_copy(update={"why": why})


def with_cooling(
    operations: Sequence[Operation], firings: Sequence[Firing], layup: Layup, weights: Sequence[CoatWeight]
) -> tuple[Operation, ...]:
    """Return the steps with how long each cooling in still air takes, and what may be done meanwhile.

    Parameters
    ----------
    operations : sequence of Operation
        In bench order.
    firings : sequence of Firing
        With their windows.
    layup : Layup
        The piece.
    weights : sequence of CoatWeight
        One a coat, in file order.
    """
    cooled = cooling_of(firings, layup, weights)
    last = firings[-1].number if firings else 0
    return tuple(_cooled(operation, cooled, operation.firing == last) for operation in operations)


def cooling_of(firings: Sequence[Firing], layup: Layup, weights: Sequence[CoatWeight]) -> CoolingTimes | None:
    """Return the cooling of the piece after its last firing, with all its glass; None where nothing is worked out."""
    timed = [firing for firing in firings if firing.window is not None and firing.window.peak is not None]
    if not timed or layup.piece.firing.cooling in {"in the kiln", "cold slab"}:
        return None
    firing = timed[-1]
    try:
        piece = loaded_piece(firing, layup, weights)
        point = firing.window.set_point.value if firing.window and firing.window.set_point else None
        up = firing.face_up == "front"
        glass = (piece.glass_top, piece.glass_bottom) if up else (piece.glass_bottom, piece.glass_top)
        return times_of(
            HotPiece(
                metal=layup.metal,
                thickness=layup.thickness,
                area=piece.area,
                perimeter=layup.shape.all_edges,
                glass=glass,
                glasses=tuple({layer.jar.id: layer.glass for layer in present(firing, layup)}.values()),
                out=leaving(point),
            )
        )
    except EnamelwrightError:  # hotter than its heat is known, or no body: the usual words stand alone
        return None


def _cooled(operation: Operation, times: CoolingTimes | None, last: bool) -> Operation:
    if operation.work != "cool" or times is None or times.edge is None:
        return operation
    steps = times.steps()
    if not steps:
        return operation
    told = steps if last else steps[:ONE]
    return operation.model_copy(update={"why": f"{operation.why} {' '.join(told)}".strip(), "wait": times.edge})

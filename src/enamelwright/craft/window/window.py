"""The firing windows of a piece: how hot and how long in this kiln, on this support, with what band.

All firings of a plan are heated in one batch of draws of the kiln; the clocks of the coats are then read
against their stages. The setting is what custom, jar, metal and house make it; the time is worked out.
"""

from __future__ import annotations

from collections.abc import Sequence

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing, StageBand, Window
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.practice import own_setting, practice_window
from enamelwright.craft.weights import weigh
from enamelwright.craft.window.aims import CLOCKED
from enamelwright.craft.window.case import Case, case_of
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.look_plan import by_eye
from enamelwright.craft.window.members import Batch, KilnDraws, heat_batch
from enamelwright.craft.window.powders import loose_powder
from enamelwright.craft.window.reading import read_window
from enamelwright.craft.window.responses import UNKNOWN, must_fit, response_to
from enamelwright.craft.window.rounds import rounds_alike
from enamelwright.craft.window.spoken import new_lot_words
from enamelwright.craft.window.stages import grid
from enamelwright.errors import OutOfReach
from enamelwright.figure import Figure


def windows_for(
    firings: Sequence[Firing],
    layup: Layup,
    bench: Bench,
    weights: Sequence[CoatWeight] | None = None,
    extra: float = 0.0,
    pieces: int = 1,
) -> tuple[Window, ...]:
    """Return a window for each firing, all worked out in one batch.

    Parameters
    ----------
    firings : sequence of Firing
        From the sequence.
    layup : Layup
        The piece.
    bench : Bench
        House rules and kiln.
    weights : sequence of CoatWeight, optional
        One a coat, in file order; worked out here when left out.
    extra : float
        Kelvin by which the kiln is taken hotter than known, to ask "what if".
    pieces : int
        How many such pieces go in together.

    Returns
    -------
    tuple of Window
        In the order of `firings`. Where a thermometer does not rule or the form is not sheet, the window is
        that of ordinary practice, or looks alone.
    """
    amounts = tuple(weights) if weights is not None else weigh(layup, bench)
    kiln = bench.kiln(layup.piece.firing.kiln) or UNKNOWN
    plain = [practice_window(firing, layup, bench, amounts) for firing in firings]
    if not kiln.speaks_degrees:
        return tuple(_by_eye(firing, window, kiln) for firing, window in zip(firings, plain, strict=True))
    cases: dict[int, Case] = {}
    for place, (firing, window) in enumerate(zip(firings, plain, strict=True)):
        case = case_of(firing, window, layup, amounts)
        if case is not None:
            cases[place] = case
    try:
        worked = _worked(list(cases.values()), layup, amounts, kiln, extra, pieces) if cases else []
    except OutOfReach as error:
        words = f"no time is worked out: {error.message} {error.remedy}".strip()
        return tuple(one.model_copy(update={"because": (*one.because, words)}) for one in plain)
    found = dict(zip(cases, worked, strict=True))
    result = [found.get(place, window) for place, window in enumerate(plain)]
    return rounds_alike(firings, result)


def windows_at(
    points: Sequence[float],
    firing: Firing,
    layup: Layup,
    bench: Bench,
    weights: Sequence[CoatWeight],
    extra: float = 0.0,
    pieces: int = 1,
    longest: float = 0.0,
) -> tuple[Window, ...]:
    """Return the window of one firing at several set points, worked out in one batch.

    Parameters
    ----------
    points : sequence of float
        On the display of the kiln [K].
    firing : Firing
        From the sequence.
    layup : Layup
        The piece.
    bench : Bench
        House rules and kiln.
    weights : sequence of CoatWeight
        One a coat, in file order.
    extra : float
        Kelvin by which the kiln is taken hotter than known.
    pieces : int
        How many such pieces go in together.
    longest : float
        A time in the kiln that is to be covered [s]; the usual longest time is in any case.

    Raises
    ------
    OutOfReach
        When the kiln tells no degrees, does not reach a set point, the load is larger than its shelf, or the
        form is not sheet.
    """
    kiln = bench.kiln(layup.piece.firing.kiln) or UNKNOWN
    plain = practice_window(firing, layup, bench, weights)
    if not kiln.speaks_degrees or plain.set_point is None:
        raise OutOfReach("no degrees are told here.", "Fire by the stage you see.")
    cases = []
    for point in points:
        at: dict[str, Figure | None] = {"set_point": Figure.exact(point, "temperature", plain.set_point.origin)}
        if plain.status != "own" and not plain.set_point.low <= point <= plain.set_point.high:
            # Times of practice belong to its own settings.
            at["seconds"] = None
        case = case_of(firing, plain.model_copy(update=at), layup, weights)
        if case is None:
            raise OutOfReach("nothing is worked out for this firing.", "Go by the stage.")
        cases.append(case)
    found = _worked(cases, layup, weights, kiln, extra, pieces, longest)
    return tuple(window.model_copy(update={"practice": plain}) for window in found)


def _by_eye(firing: Firing, window: Window, kiln: Kiln) -> Window:
    """Return looks and stages alone; over a torch not even looks by the clock."""
    if window.set_point is None or window.seconds is None:
        stages = tuple(StageBand(stage=stage, begins=None) for stage in CLOCKED)
        return window.model_copy(update={"target": firing.target, "stages": stages})
    looks = by_eye(window.seconds.low, window.seconds.high, firing.target)
    return Window(
        set_point=None,
        seconds=None,
        because=(f"'{kiln.name}' tells no degrees: fire by the stage you see.",),
        sources=window.sources,
        first_look=looks.first,
        look_every=looks.every,
        target=firing.target,
        looks=looks,
        stages=tuple(StageBand(stage=stage, begins=None) for stage in CLOCKED),
    )


def _worked(
    cases: list[Case],
    layup: Layup,
    weights: Sequence[CoatWeight],
    kiln: Kiln,
    extra: float,
    pieces: int,
    asked: float = 0.0,
) -> list[Window]:
    for support in dict.fromkeys(case.firing.support for case in cases):
        must_fit(kiln, layup, support, pieces)
    draws = KilnDraws.of(kiln, extra=extra)
    batch = []
    for case in cases:
        point = case.window.set_point.value if case.window.set_point is not None else 0.0
        laws = tuple(melt.law for melt in case.melts)
        response = response_to(kiln, case.piece, point, pieces)
        loose = loose_powder(case, layup, weights)
        batch.append(Batch(case.piece, response, point, laws, kiln.overshoot, pieces, loose))
    # Whoever holds a piece longer than is usual is told what comes of it.
    own = [own_setting(case.firing, layup)[1] or 0.0 for case in cases]
    longest = max(number("longest"), asked, *own)
    trace = heat_batch(batch, draws, longest)
    times = grid(longest)
    windows = (
        read_window(
            case,
            batch[n],
            trace,
            slice(n * draws.count, (n + 1) * draws.count),
            times,
            layup,
            weights,
            kiln,
        )
        for n, case in enumerate(cases)
    )
    return [_with_lots(window, case, layup) for window, case in zip(windows, cases, strict=True)]


def _with_lots(window: Window, case: Case, layup: Layup) -> Window:
    """Return a window that says of which new lots it is wider for."""
    fresh = {layer.jar.id for layer in case.coats}
    lines = tuple(new_lot_words(jar) for jar in layup.new_lots if jar in fresh)
    return window.model_copy(update={"because": (*window.because, *lines)}) if lines else window

"""Flatness and stress of a piece after every firing: the one door to the stress model."""

from __future__ import annotations

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.counter_band import band_of
from enamelwright.craft.checks.flatness_draws import Model
from enamelwright.craft.checks.flatness_history import history_of
from enamelwright.craft.checks.flatness_states import size_of, solve_all, states_of
from enamelwright.craft.checks.flatness_verdicts import verdicts_of
from enamelwright.craft.checks.handling import advice_of
from enamelwright.craft.checks.judged import Judged
from enamelwright.craft.checks.limits import LIMITS, out_of_reach, roughness
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.plan import CoatWeight, CounterBand, Flatness
from enamelwright.craft.verdict import Advice, Verdict
from enamelwright.errors import OutOfReach

#: Draws of a first band.
FIRST_DRAWS = 256


def judge_flatness(
    layup: Layup,
    weights: tuple[CoatWeight, ...],
    firings: tuple[Firing, ...],
    bench: Bench,
    draws: int = FIRST_DRAWS,
    counter: CounterBand | None = None,
) -> tuple[Flatness, tuple[Verdict, ...], tuple[Advice, ...]]:
    """Follow a piece through all its firings and judge what is left at the end.

    Each laying of a coat joins the sheet at the firing that melts it; metal yields, glass flows, sets
    and contracts, and both remember the firings before. One fine solution gives the figures, many
    coarse ones their band. What the model cannot know it says: see `Flatness.reach` and `.limits`.

    Parameters
    ----------
    layup : Layup
        The piece with its jars looked up.
    weights : tuple of CoatWeight
        One per coat, in file order.
    firings : tuple of Firing
        In order; `fuses` names the coats that join.
    bench : Bench
        House rules; a house may set its own bow limit.
    draws : int
        Draws behind the band; its ends settle from about 32 on.
    counter : CounterBand, optional
        Counter-coats that keep it flat, when they are known already; worked out when left out.

    Returns
    -------
    tuple
        Flatness, verdicts (none when not applicable) and handling lines.
    """
    why = out_of_reach(layup, firings)
    history = None if why else history_of(layup, weights, firings)
    if history is None or not history.laminae:
        return Flatness(reach="not applicable", why=why or "No coat is fired."), (), ()
    model = Model(layup, history)
    try:
        solved = solve_all(model, draws)
        states = states_of(solved)
        # A high dome hardly moves, whatever lies on its back.
        if solved.held is not None:
            counter = None
        elif counter is None:
            counter = band_of(model, solved.draws, bench, size_of(states[-1].bow).high)
    except OutOfReach as error:
        return Flatness(reach="not applicable", why=error.message), (), ()
    judged = Judged(solved, states, bench, counter)
    rough = roughness(layup, solved)
    flatness = Flatness(
        reach="rough" if rough else "full",
        why=_sentence(rough),
        states=states,
        chord=layup.shape.chord,
        counter=counter,
        limits=LIMITS,
        draws=draws,
    )
    return flatness, verdicts_of(judged), advice_of(judged)


def _sentence(parts: tuple[str, ...]) -> str:
    if not parts:
        return ""
    text = "; ".join(parts) + "."
    return f"A rough figure: {text}"

"""What the record of a demonstration gives away of its hidden truth: a row a fact, found or not, with its band.

Whatever is claimed comes from the product in its own terms; only the scorer knows what is really so.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from enamelwright.demo.scorer import truths
from enamelwright.figure import Z95
from enamelwright.questions.fault import FaultInput
from enamelwright.questions.question import question
from enamelwright.workshop.bench import bench
from enamelwright.workshop.control_tiles import control_series
from enamelwright.workshop.coverage import SURE, compared, coverage
from enamelwright.workshop.fault_facts import gather
from enamelwright.workshop.firing_facts import firing_facts
from enamelwright.workshop.heat_budgets import heat_budgets
from enamelwright.workshop.learned_clocks import learn
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.what_was_learned import kilns_learned

#: The tile is 20 s sooner than its first three by 9 April; an alarm two weeks after that is late, one two weeks before early.
EARLIEST, LATEST = "2026-03-27", "2026-04-23"
#: Faults by the script: piece, fault, and the cause that was made.
FLAGS = {
    "damp jar": ("PB2", "cloudy", "damp old powder"),
    "leaded under lead-free": ("PB1", "wirecrack", "leaded and lead-free mixed"),
    "cold third load": ("K13", "dull", "kiln cold after door"),
    "re-fired red": ("A-13", "redbrown", "too many firings"),
    "first bubbling jar": ("K12", "bubbles", "fines left in the powder, in a thick coat"),
    "second bubbling jar": ("K14", "bubbles", "fines left in the powder, in a thick coat"),
}


@dataclass(frozen=True)
class Row:
    """One fact: whether it was found, and how that is told."""

    fact: str
    found: bool
    words: str


def table(studio: Studio) -> list[Row]:
    """Score one demonstration."""
    return [*_kiln(studio), *_hand(studio), _alarm(studio), *_bands(studio), *_flags(studio)]


def _kiln(studio: Studio) -> list[Row]:
    """What the page of the kiln says of its drift before the thermocouple was moved, and of the step then."""
    learned = learn(studio)
    (kiln,) = kilns_learned(studio, learned)
    truth = truths()

    def low_on(day: float) -> float:
        return truth[f"kiln reads low on {date.fromordinal(int(day)).isoformat()} [K]"]

    rows = []
    for fact, step in (("drift of the display", False), ("step of the display", True)):
        one = next((move for move in kiln.moves if move.moved.step is step), None)
        if one is None:
            rows.append(Row(fact, False, "nothing is said"))
            continue
        true = low_on(one.moved.last) - low_on(one.moved.first)
        rows.append(Row(fact, one.moved.low <= true <= one.moved.high, f"{one.words} Truly {true:+.0f} K"))
    return rows


def _hand(studio: Studio) -> list[Row]:
    """The powder that misses the piece at the end, as the newest weighings have it."""
    sifted = next(one for one in bench(studio).learned_hands if (one.what, one.who, one.mesh) == ("loss", "", 0))
    true = truths()["sifting loss at last"]
    near = abs(sifted.value - true) <= Z95 * sifted.sd
    return [Row("sifting loss", near, f"{sifted.value:.3f} ({sifted.sd:.3f}), truly {true:.3f}")]


def _bands(studio: Studio) -> list[Row]:
    """How many frozen bands held; found where nine in ten is among what so few leave open."""
    return [
        Row(f"bands of {one.what}", one.between[1] >= SURE, f"{one.held} of {one.count}")
        for one in coverage(compared(studio))
    ]


def _alarm(studio: Studio) -> Row:
    series = next(one for one in control_series(studio) if one.chart is not None)
    alarm = series.alarm
    at = "" if alarm is None else alarm.at[:10]
    return Row("control tile", bool(at) and EARLIEST <= at <= LATEST, at or "no alarm")


def _flags(studio: Studio) -> list[Row]:
    known = bench(studio)
    rows = []
    for fact, (piece, fault, cause) in FLAGS.items():
        found = gather(studio, piece, fault, known=known)
        asked = FaultInput(
            fault=found.fault, when=found.when, place=found.place, facts=found.facts, record=found.record
        )
        first = question("fault").answer(asked, known).payload.causes[0].cause
        rows.append(Row(fact, first == cause, first))
    return [*rows, _heat(studio)]


def _heat(studio: Studio) -> Row:
    """By the script the strong red stays red through two re-firings and is brown after the third."""
    steps = next((one.steps for one in heat_budgets(studio, firing_facts(studio)) if one.jar == "J12"), ())
    turned = [one.refirings for one in steps if one.turned]
    return Row("heat budget of the red", turned == [3], f"turned at re-firing {turned}")

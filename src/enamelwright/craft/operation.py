"""What is done to a piece, in order, and the firings among it."""

from __future__ import annotations

import math
from typing import Literal

from pydantic import BaseModel, ConfigDict

from enamelwright.craft.coat import Stage
from enamelwright.craft.piece import Support
from enamelwright.figure import Figure

Work = Literal[
    "prepare", "lay", "scratch", "lift stencil", "place", "dry", "turn", "fire", "cool", "clean oxide", "stone",
    "press flat", "remove backing", "finish", "set", "check",
]  # fmt: skip
Faces = Literal["front", "back", "both", "none"]


class _Frozen(BaseModel):
    """Base of the parts of a window."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class StageBand(_Frozen):
    """When one stage begins.

    Parameters
    ----------
    stage : str
        As the eye sees it.
    begins : Figure or None
        Seconds, counted as the window counts; None where it is not reached in the longest time worked out.
    open_ended : bool
        Whether the late end lies beyond the longest time worked out, at which `begins` is cut.
    clock : float or None
        Decades of the gloss clock by which this stage lies after gloss; negative before it. What firings teach is
        told in these decades, so that a record can be read against what was foretold.
    """

    stage: Stage
    begins: Figure | None
    open_ended: bool = False
    clock: float | None = None

    @property
    def likely(self) -> float:
        """When it likely begins [s]; infinite when beyond the time worked out."""
        if self.begins is None or (self.open_ended and self.begins.value >= self.begins.high):
            return math.inf
        return self.begins.value

    @property
    def latest(self) -> float:
        """When it has begun at the latest [s]; infinite when beyond the time worked out."""
        return math.inf if self.begins is None or self.open_ended else self.begins.high


class LookPlan(_Frozen):
    """When to look, and what a look costs.

    Parameters
    ----------
    first : float
        First look [s].
    every : float
        Seconds between looks until the stage is likely there; they lie wider apart after it.
    out_by : float
        Not left in longer than this [s], the looks counted.
    looks : int
        Looks up to `out_by`, the pull itself left out.
    cost : float
        What one look sets the piece back [s].
    words : str
        The plan in a sentence, with what to do when the stage is not there yet.
    at : tuple of float
        Seconds of the looks; empty in plans kept before looks were told one by one.
    """

    first: float
    every: float
    out_by: float
    looks: int
    cost: float
    words: str
    at: tuple[float, ...] = ()

    @property
    def times(self) -> tuple[float, ...]:
        """When to look, also of a plan that tells first look and spacing alone [s]."""
        return self.at or tuple(self.first + n * self.every for n in range(self.looks))


class Course(_Frozen):
    """Kiln, piece and stage against time, for a picture.

    Parameters
    ----------
    seconds : tuple of float
        From closing the door.
    kiln, piece : tuple of float
        What a small body sees, and the piece [K]; nominal.
    low, middle, high : tuple of float
        Progress of the coats judged, 0 powder to 4 over-fired: 5 %, nominal and 95 %.
    """

    seconds: tuple[float, ...]
    kiln: tuple[float, ...]
    piece: tuple[float, ...]
    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]


class CoatCourse(_Frozen):
    """How the gloss clock of one coat was foretold to run, so that a record of several coats can be read against it.

    Parameters
    ----------
    coat : int
        Number in the file.
    jar : str
        Its jar.
    likeness : str
        Coats of one such name are the same again: one place of one design, laid and fired alike.
    own_sd : float
        What depth and laws may bring to such a coat of their own [decades].
    hotter : float
        How much hotter it is fired than the heat its jar is told by [K].
    law : float
        Decades by which the law of gloss moves it from the ordinary coat.
    learned : float
        Decades of what own firings taught that are contained.
    pace : float
        Logarithm of how many times faster than its heat balance has it the kiln was taken to heat up.
    clock : tuple of (float, float)
        Seconds as the window counts, and decades from its gloss.
    marks : tuple of float
        Decades from gloss at which sugar, orange peel, gloss and over-firing begin.
    """

    coat: int
    jar: str
    likeness: str
    own_sd: float
    hotter: float
    law: float
    learned: float
    pace: float
    clock: tuple[tuple[float, float], ...]
    marks: tuple[float, float, float, float]


class Window(_Frozen):
    """How hot and how long, as a range.

    Parameters
    ----------
    set_point : Figure or None
        What is set on the kiln, in its own degrees; None where no thermometer rules.
    seconds : Figure or None
        When to take it out, the stage aimed at being there; counted from `start`. Where looks are planned, its late
        end is the time it must be out, what the looks cost counted: there is one latest time.
    start : str
        What the time is counted from.
    status : str
        ``model`` when worked out for this kiln and load, ``practice`` when a table of settings stands in,
        ``own`` where the maker set temperature or time.
    because, sources : tuple of str
        The reason, and where the range comes from.
    first_look, look_every : float or None
        Seconds.
    target : str
        Stage aimed at; empty where the window is not about one.
    stages : tuple of StageBand
        Every stage in its order.
    open_ended : bool
        Whether the late end of `seconds` lies beyond the longest time worked out, at which it is cut.
    over : Figure or None
        When over-firing begins [s]; None where it does not within the longest time worked out.
    over_open : bool
        Whether the late end of `over` lies beyond the longest time worked out, at which it is cut.
    unwatched : float or None
        The best single time for who cannot look [s]; None where no single time is right often enough.
    odds : float or None
        Chance that at `unwatched` the stage is reached and nothing gone too far: over-fired, or glossy where
        sugar is wanted.
    looks : LookPlan or None
        The window as looks.
    practice : Window or None
        Settings of ordinary practice, as a second opinion.
    energy : Figure or None
        Electricity of this firing, the holding of the heat meanwhile included [J].
    peak : Figure or None
        Hottest the piece gets [K]; `high` is the hottest it may get.
    oxide : Figure or None
        Oxide that grows on bare metal [m].
    turning : Figure or None
        Seconds at 800 °C that the second clock of colours runs in this firing.
    display : str
        Whose degrees `set_point` is told in.
    assumptions : tuple of str
        What was taken as given.
    course : Course or None
        For the picture.
    clock : tuple of (float, float)
        Seconds as the window counts, and where the nominal gloss clock of the coat furthest behind stands then
        [decades from its gloss]; what firings teach is read against it.
    coats : tuple of CoatCourse
        The same of every coat that melts for the first time.
    """

    set_point: Figure | None
    seconds: Figure | None
    start: Literal["load", "recovered"] = "load"
    status: Literal["practice", "model", "own"] = "practice"
    because: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    first_look: float | None = None
    look_every: float | None = None
    target: Stage | Literal[""] = ""
    stages: tuple[StageBand, ...] = ()
    open_ended: bool = False
    over: Figure | None = None
    over_open: bool = False
    unwatched: float | None = None
    odds: float | None = None
    looks: LookPlan | None = None
    practice: Window | None = None
    energy: Figure | None = None
    peak: Figure | None = None
    oxide: Figure | None = None
    turning: Figure | None = None
    display: str = ""
    assumptions: tuple[str, ...] = ()
    course: Course | None = None
    clock: tuple[tuple[float, float], ...] = ()
    coats: tuple[CoatCourse, ...] = ()

    @property
    def width(self) -> float | None:
        """Late over early time: how wide the window is; None where it has no time."""
        if self.seconds is None or self.seconds.low <= 0:
            return None
        return self.seconds.high / self.seconds.low


class Firing(BaseModel):
    """One trip into the kiln.

    Parameters
    ----------
    number : int
        From 1, over the life of the piece.
    fuses : tuple of int
        Coats that melt for the first time (numbers in the file).
    lays : tuple of int
        Every coat that carries unfired powder in this firing: first layings and later rounds.
    fill_round : int
        Which round of fills this is; 0 when no fills are laid.
    reheats : tuple of int
        Earlier coats that are hot again.
    loaded : str
        Faces that carry unfired enamel.
    face_up : str
        Face that looks up in the kiln.
    support : str
        What it rests on.
    rests_on : str
        Where the support touches.
    target : str
        Stage to stop at.
    window : Window or None
        Filled by `window_for`.
    words : str
        One line for the bench, e.g. "counter-enamel, to orange peel".
    why : str
        Why this firing, here in the order.
    needs_flat : bool
        Whether a later step needs the piece flat after this firing.
    embeds : bool
        Whether wires or foil sink into fired glass and nothing new melts.
    flash : bool
        Whether it only gives the gloss back after stoning.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    number: int
    fuses: tuple[int, ...]
    lays: tuple[int, ...] = ()
    fill_round: int = 0
    reheats: tuple[int, ...] = ()
    loaded: Faces
    face_up: Literal["front", "back"]
    support: Support
    rests_on: str
    target: Stage
    window: Window | None = None
    words: str = ""
    why: str = ""
    needs_flat: bool = False
    embeds: bool = False
    flash: bool = False


class Operation(BaseModel):
    """One step at the bench.

    Parameters
    ----------
    work : str
        Kind of work.
    face : str
        Which face is worked.
    words : str
        What to do, as a maker would say it.
    coats : tuple of int
        Coats concerned.
    hand : Figure or None
        Hand time per piece [s].
    wait : Figure or None
        Waiting time [s]: drying, cooling.
    firing : int
        Number of the firing this is, or belongs to; 0 for none.
    why : str
        Why, and why here.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    work: Work
    face: Faces = "none"
    words: str
    coats: tuple[int, ...] = ()
    hand: Figure | None = None
    wait: Figure | None = None
    firing: int = 0
    why: str = ""

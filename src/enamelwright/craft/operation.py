"""What is done to a piece, in order, and the firings among it."""

from __future__ import annotations

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


class Window(BaseModel):
    """How hot and how long, as a range.

    Parameters
    ----------
    set_point : Figure or None
        Temperature set on the kiln; None where no thermometer rules (torch).
    seconds : Figure or None
        Time in the kiln, counted from `start`.
    start : str
        What the time is counted from.
    status : str
        ``practice`` until a kiln model replaces it.
    because, sources : tuple of str
        The reason, and where the range comes from.
    first_look, look_every : float or None
        Seconds.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    set_point: Figure | None
    seconds: Figure | None
    start: Literal["load", "recovered"] = "load"
    status: Literal["practice", "model", "own"] = "practice"
    because: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    first_look: float | None = None
    look_every: float | None = None


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

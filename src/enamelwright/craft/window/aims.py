"""Which stage a firing is pulled at, as a share of the clocks of its coats."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10
from typing import Literal

from enamelwright.craft.coat import Stage
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.window.facts import band_decades, band_sd, number
from enamelwright.craft.window.thresholds import Thresholds

#: Stages in the order of the clock, with the mark each begins at.
CLOCKED: tuple[Stage, ...] = ("sugar", "orange peel", "gloss", "over-fired")

Mark = Stage | Literal["done"]


@dataclass(frozen=True)
class Aim:
    """Where a coat is to be when the piece is pulled.

    Attributes
    ----------
    mark : str
        A stage as the eye sees it, or ``done`` where makers take a glossy coat out.
    shift : float
        Decades from that mark, as :func:`begins` tells it.
    sd : float
        How well the aim is known besides the mark of the coat [decades].
    clears : bool
        Whether red oxide must dissolve as well.
    words : str
        Said among the assumptions; empty for plain gloss.
    """

    mark: Mark
    shift: float = 0.0
    sd: float = 0.0
    clears: bool = False
    words: str = ""


def begins(stage: Mark, marks: Thresholds) -> float:
    """Return log10 of the clock [1/Pa] at which a stage begins.

    Parameters
    ----------
    stage : str
        One of the stages of the eye, or ``done``.
    marks : Thresholds
        Of the coat.
    """
    orange = min(marks.dense + log10(number("sugar_ends")), marks.gloss)
    return {
        "powder": float("-inf"),
        "sugar": min(marks.neck, orange),
        "orange peel": orange,
        "gloss": marks.gloss,
        "done": marks.done,
        "cleared": marks.gloss,
        "over-fired": marks.over,
    }[stage]


def aim_of(firing: Firing, layup: Layup, melts: bool) -> Aim | None:
    """Return what a firing is pulled at; None where nothing need happen to the glass.

    Parameters
    ----------
    firing : Firing
        With its target.
    layup : Layup
        The piece.
    melts : bool
        Whether fresh powder melts in it.
    """
    if not melts:
        key = "flash_share" if firing.flash else "embed_share" if firing.embeds else "again_share"
        words = f"fused glass flows again at {number(key):.0%} of the clock of its gloss"
        return Aim("gloss", log10(number(key)), band_decades(key), words=words)
    target = firing.target
    if target == "powder":
        return None
    if target == "cleared":
        if not layup.metal.family.startswith("copper"):
            return aim_at("gloss")
        words = "clear glass on copper is done when the red oxide has dissolved in it, by an assumed rate"
        return Aim("gloss", log10(number("cleared_share")), band_decades("cleared_share"), True, words)
    return aim_at(target)


def aim_at(target: Stage) -> Aim:
    """Return the aim of a stage by itself.

    Parameters
    ----------
    target : str
        ``sugar``, ``orange peel``, ``gloss``, ``cleared`` or ``over-fired``.
    """
    if target == "sugar":
        # Told from the mark of 95 % density, which orange peel begins a known way after.
        shift = log10(number("sugar_share") / number("sugar_ends"))
        sd = band_decades("sugar_share")
        return Aim("orange peel", shift, sd, words="sugar passes in seconds: look early")
    if target == "orange peel":
        share = number("orange_share")
        words = f"orange peel is pulled at {share:.0%} of the clock of gloss"
        return Aim("gloss", log10(share), band_decades("orange_share"), words=words)
    if target == "over-fired":
        return Aim("over-fired")
    return Aim(
        "done", words=f"gloss shows at {10 ** -number('done_decades'):.0%} of the clock at which makers take it out"
    )


def mark_sd(mark: str, learned: bool = False) -> float:
    """Return how well a mark is known against the one a coat's clock is told by [decades].

    A coat as described is told by when makers take it out, a learned one by when its gloss was seen.

    Parameters
    ----------
    mark : str
        A stage, or ``done``.
    learned : bool
        Whether the clock comes from this kiln's own firings.
    """
    if mark == ("done" if learned else "gloss"):
        return band_sd("done_decades")
    return band_decades("rule_late") if mark == "over-fired" else 0.0

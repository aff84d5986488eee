"""Which stage a firing is pulled at, as a share of the clocks of its coats."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10

from enamelwright.craft.coat import Stage
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.thresholds import Thresholds

#: Stages in the order of the clock, with the mark each begins at.
CLOCKED: tuple[Stage, ...] = ("sugar", "orange peel", "gloss", "over-fired")


@dataclass(frozen=True)
class Aim:
    """Where a coat is to be when the piece is pulled.

    Attributes
    ----------
    stage : str
        As the eye sees it.
    shift : float
        Decades from the mark of `stage`, as :func:`begins` tells it.
    clears : bool
        Whether red oxide must dissolve as well.
    words : str
        Said among the assumptions; empty for plain gloss.
    """

    stage: Stage
    shift: float = 0.0
    clears: bool = False
    words: str = ""


def begins(stage: Stage, marks: Thresholds) -> float:
    """Return log10 of the clock [1/Pa] at which a stage begins.

    Parameters
    ----------
    stage : str
        One of the stages of the eye.
    marks : Thresholds
        Of the coat.
    """
    orange = min(marks.dense + log10(number("sugar_ends")), marks.gloss)
    return {
        "powder": float("-inf"),
        "sugar": min(marks.neck, orange),
        "orange peel": orange,
        "gloss": marks.gloss,
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
        return Aim(
            "gloss", log10(number(key)), words=f"fused glass flows again at {number(key):.0%} of its gloss clock"
        )
    target = firing.target
    if target == "powder":
        return None
    if target == "cleared":
        if not layup.metal.family.startswith("copper"):
            return Aim("gloss")
        words = "clear glass on copper is done when the red oxide has dissolved in it, by an assumed rate"
        return Aim("gloss", log10(number("cleared_share")), True, words)
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
        return Aim("orange peel", shift, words="sugar passes in seconds: look early")
    if target == "orange peel":
        share = number("orange_share")
        return Aim("gloss", log10(share), words=f"orange peel is pulled at {share:.0%} of the gloss clock")
    if target == "over-fired":
        return Aim("over-fired")
    return Aim("gloss")

"""What the product says about a piece: a judged verdict, or an advice line without a level."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from enamelwright.figure import Figure

Level = Literal["good", "watch", "stop"]
#: Worst last, so that `max` by this order leads.
SEVERITY: dict[Level, int] = {"good": 0, "watch": 1, "stop": 2}
#: Rules about people's health: first among the verdicts of their level.
HEALTH: frozenset[str] = frozenset({"FOOD", "JAR-WEAR", "CLASS-PBCD"})


class Place(BaseModel):
    """Where on the piece a verdict stands.

    Parameters
    ----------
    face : str
        ``front``, ``back``, ``metal``, ``rim`` or empty for the whole piece.
    coats : tuple of int
        Numbers of the coats in the file, from 0.
    firing : int
        Number of the firing from 1; 0 when it is not about one firing.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    face: Literal["front", "back", "metal", "rim", ""] = ""
    coats: tuple[int, ...] = ()
    firing: int = 0


class Verdict(BaseModel):
    """A judgement with its figure, its reason and what to do.

    Parameters
    ----------
    rule : str
        Id of the rule or check, e.g. ``ORD-HARD``.
    level : str
        good, watch or stop; judged at the unfavourable end of the figure.
    words : str
        One plain sentence.
    remedy : str
        What to do about it; empty for good.
    because : tuple of str
        The facts it rests on, each with its number.
    sources : tuple of str
        Where the rule comes from, as recorded.
    figure : Figure, optional
        The number judged.
    place : Place
        Where it stands.
    intended : str
        The maker's note when it is broken on purpose; the verdict stays visible.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    rule: str
    level: Level
    words: str
    remedy: str = ""
    because: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    figure: Figure | None = None
    place: Place = Place()
    intended: str = ""

    @property
    def counts(self) -> bool:
        """Whether it still asks for a decision."""
        return self.level != "good" and not self.intended


class Advice(BaseModel):
    """A line worth knowing that judges nothing."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    rule: str
    words: str
    because: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    place: Place = Place()


def worst(verdicts: tuple[Verdict, ...]) -> Level:
    """Return the level that leads; intended verdicts no longer count."""
    levels = [verdict.level for verdict in verdicts if verdict.counts]
    return max(levels, key=SEVERITY.__getitem__, default="good")


def in_order(verdicts: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
    """Return verdicts worst first, health first among equals, intended ones after those that count, else as found."""

    def rank(verdict: Verdict) -> tuple[int, bool, bool]:
        level = -SEVERITY[verdict.level] if verdict.counts else 1
        return level, verdict.level == "good", verdict.rule not in HEALTH

    return tuple(sorted(verdicts, key=rank))

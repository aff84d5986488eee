"""A plan of the day as it is kept: its blocks, what was pinned and ticked, and the plans before it for Undo."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from typing import Any

from enamelwright.errors import InputError
from enamelwright.questions.day_forms import DayPin, KeptBlock
from enamelwright.workshop.day_progress import Route
from enamelwright.workshop.drafts import draft, save_draft, undo
from enamelwright.workshop.studio import Studio

#: Under what the plan is kept, and how many before it stay for Undo.
SUBJECT, STEPS = "day plan", 20
#: Fields of an answer that are kept beside the blocks.
_ANSWER = (
    "words", "finish", "work", "least_work", "above_least", "loads", "least_loads", "late", "promises", "compared",
    "left_out", "too_long", "would_help", "offer", "chance",
)  # fmt: skip


@dataclass(frozen=True)
class Block:
    """One thing to do.

    Parameters
    ----------
    start, end : str
        Local moments, ``2026-03-02T09:00``.
    who : tuple of str
        People.
    work : str
        What is done.
    pieces, members : tuple of str
        Pieces, and the steps as plans name them.
    kiln, heat : str
        Of a load.
    washing : float
        Of the time, spent cleaning tools first [s].
    """

    start: str
    end: str
    who: tuple[str, ...]
    work: str
    pieces: tuple[str, ...]
    members: tuple[str, ...]
    kiln: str = ""
    heat: str = ""
    washing: float = 0.0

    @property
    def day(self) -> str:
        """Date on which it begins."""
        return self.start[:10]

    @property
    def name(self) -> str:
        """What a form calls it by: its first step, which no other block holds."""
        return self.members[0]

    def of(self, members: Iterable[str]) -> list[Block]:
        """Return it with only some of its members, in a list; an empty one without any."""
        kept = tuple(members)
        if kept == self.members or not kept:
            return [self] if kept else []
        return [replace(self, members=kept, pieces=tuple(step_of(member)[0] for member in kept))]

    def to_json(self) -> list[Any]:
        """Return it as a short row."""
        return [
            self.start, self.end, list(self.who), self.work, list(self.pieces), list(self.members), self.kiln,
            self.heat, self.washing,
        ]  # fmt: skip

    @classmethod
    def from_json(cls, row: Sequence[Any]) -> Block:
        """Read what :meth:`to_json` wrote."""
        start, end, who, work, pieces, members, kiln, heat, washing = row
        return cls(start, end, tuple(who), work, tuple(pieces), tuple(members), kiln, heat, washing)

    @classmethod
    def of_answer(cls, told: Mapping[str, Any]) -> Block:
        """Read a block of an answer."""
        washing = told["washing"]["value"] if told.get("washing") else 0.0
        return cls(
            told["start"], told["end"], tuple(told["who"]), told["work"], tuple(told["pieces"]),
            tuple(told["members"]), told["kiln"], told["heat"], washing,
        )  # fmt: skip


def clock(moment: str) -> datetime:
    """Read a moment of a plan as the local time it is."""
    return datetime.fromisoformat(moment).astimezone()


def step_of(member: str) -> tuple[str, int]:
    """Return the name of the piece and the number of the step, from 0."""
    name, _, number = member.rpartition(" / ")
    return name, int(number) - 1


@dataclass(frozen=True)
class KeptPlan:
    """The plan that is kept.

    Parameters
    ----------
    row : int
        Which one of those kept.
    content : dict
        All of it, as plain JSON.
    """

    row: int
    content: Mapping[str, Any]

    @property
    def blocks(self) -> tuple[Block, ...]:
        """What is still to do when it was made, in order."""
        return tuple(Block.from_json(one) for one in self.content["blocks"])

    @property
    def past(self) -> tuple[Block, ...]:
        """What lay behind it that day, or was begun."""
        return tuple(Block.from_json(one) for one in self.content["past"])

    @property
    def every(self) -> tuple[Block, ...]:
        """Past and to come, in order."""
        return tuple(sorted((*self.past, *self.blocks), key=lambda one: (one.start, one.end, one.members)))

    @property
    def offered(self) -> tuple[Block, ...]:
        """Another order that would be better, where one is offered."""
        return tuple(Block.from_json(one) for one in self.content["offered"])

    @cached_property  # asked for once a step
    def routes(self) -> dict[int, Route]:
        """Steps of the designs in it."""
        return {int(key): Route.from_json(one) for key, one in self.content["routes"].items()}

    @property
    def pins(self) -> dict[str, str]:
        """Step -> not before."""
        return dict(self.content["pins"])

    @property
    def done(self) -> dict[str, str]:
        """Steps somebody ticked, with the moment."""
        return dict(self.content["done"])

    @property
    def answer(self) -> Mapping[str, Any]:
        """What was answered, without the blocks."""
        found: Mapping[str, Any] = self.content["answer"]
        return found

    def about(self, name: str) -> Mapping[str, Any]:
        """Return what is kept of a piece: number, design, owner, due, order, line, version."""
        found: Mapping[str, Any] = self.content["pieces"].get(name, {})
        return found

    def not_begun(self) -> dict[int, int]:
        """Count the pieces that are ordered and not begun, by the row of their design version."""
        found: dict[int, int] = {}
        for about in self.content["pieces"].values():
            if not about["number"] and about["version"] > 0:
                found[about["version"]] = found.get(about["version"], 0) + 1
        return found

    def block(self, name: str) -> Block:
        """Return a block by its first step.

        Raises
        ------
        InputError
            When the plan has none of that name any more.
        """
        found = next((one for one in self.blocks if name in one.members), None)
        if found is None:
            raise InputError("this is no longer in the plan.", "Open the page again.")
        return found


def kept_plan(studio: Studio) -> KeptPlan | None:
    """Return the plan that is kept; None when there is none."""
    row = draft(studio, SUBJECT)
    return None if row is None or not row.content else KeptPlan(int(row.id), row.content)


def the_plan(studio: Studio) -> KeptPlan:
    """Return the plan that is kept.

    Raises
    ------
    InputError
        When there is none.
    """
    found = kept_plan(studio)
    if found is None:
        raise InputError("no plan of the day is kept.", "Plan the day first.")
    return found


def keep(studio: Studio, content: Mapping[str, Any], seen: int | None = None) -> KeptPlan:
    """Keep a plan, and return it.

    Parameters
    ----------
    studio : Studio
        The studio.
    content : mapping
        Of :func:`content_of`, or of a kept plan with changes.
    seen : int, optional
        The plan that was shown; a newer one is not run over.
    """
    row = save_draft(studio, SUBJECT, dict(content), seen, STEPS)
    return KeptPlan(row, content)


def change(studio: Studio, plan: KeptPlan, seen: int | None = None, **changes: Any) -> KeptPlan:
    """Keep a plan with some of its parts changed."""
    return keep(studio, {**plan.content, **changes}, seen)


def plan_before(studio: Studio) -> KeptPlan | None:
    """Go back to the plan before; None when there was none."""
    row = undo(studio, SUBJECT)
    return None if row is None else KeptPlan(int(row.id), row.content)


def content_of(answer: Mapping[str, Any], **more: Any) -> dict[str, Any]:
    """Return a plan as it is kept.

    Parameters
    ----------
    answer : mapping
        Answer of the question `day`, as JSON.
    **more
        `made`, `routes`, `pieces`, `pins`, `done`, `past`, `left_out`, `hours`, `people`.
    """
    payload = answer["payload"]
    told = {key: payload.get(key) for key in _ANSWER}
    told |= {key: list(answer[key]) for key in ("because", "sources", "assumptions", "cautions")}
    rows = {name: [Block.of_answer(one).to_json() for one in payload[name]] for name in ("blocks", "offered")}
    return {"answer": told, **rows, "pins": {}, "done": {}, "past": [], **more}


def renamed(blocks: Iterable[Block], names: Mapping[str, str]) -> list[Block]:
    """Return blocks in which pieces have other names: those that were ordered and are begun now."""
    if not names:
        return list(blocks)
    return [
        replace(one, pieces=tuple(names.get(name, name) for name in one.pieces),
                members=tuple(_member(told, names) for told in one.members))
        for one in blocks
    ]  # fmt: skip


def renamed_members(told: Mapping[str, str], names: Mapping[str, str]) -> dict[str, str]:
    """Return what is told of steps, as ticks and pins, with the other names of :func:`renamed`."""
    return {_member(member, names): what for member, what in told.items()}


def _member(told: str, names: Mapping[str, str]) -> str:
    name, step = step_of(told)
    return f"{names.get(name, name)} / {step + 1}"


def kept_blocks(blocks: Iterable[Block]) -> tuple[KeptBlock, ...]:
    """Return blocks as the order that is to be kept."""
    return tuple(KeptBlock(members=one.members, start=one.start, kiln=one.kiln) for one in blocks)


def pins_asked(pins: Mapping[str, str], left: Iterable[str]) -> tuple[DayPin, ...]:
    """Return the pins of steps that are still to do."""
    still = set(left)
    return tuple(DayPin(member=member, not_before=when) for member, when in pins.items() if member in still)


def short_moment(moment: datetime) -> str:
    """Write a moment as plans do: local, to the minute."""
    return moment.astimezone().replace(tzinfo=None).isoformat(timespec="minutes")

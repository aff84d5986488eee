"""What the record tells of a day at the bench: powder sifted, looks into the kiln, loads that landed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from enamelwright.craft.bench import Bench
from enamelwright.errors import EnamelwrightError
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import question
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.loads import look
from enamelwright.records.writing import moment
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.exposure import DUSTY, exposures
from enamelwright.workshop.firings import loads_between
from enamelwright.workshop.jars import jars
from enamelwright.workshop.kilns import kilns
from enamelwright.workshop.studio import Studio

#: Least time a dusty session is spread over [s]: a coat sifted in a minute still leaves its dust for a while.
LEAST_SESSION = 1800.0
#: Work that an entry of the record stands for, as the question of dust names it.
_WORKS = {
    "sifting": "sifting", "dry brushing": "dry brushing", "dry sanding": "dry stoning", "wet stoning": "wet stoning",
}  # fmt: skip
#: Looks that every load has without being written down: as it goes in and as it comes out.
IN_AND_OUT = 2


@dataclass(frozen=True)
class AirDay:
    """Sums of one day.

    Attributes
    ----------
    day : date
        The day.
    grams : float
        Powder sifted, sprayed or brushed dry [kg].
    coats, unweighed : int
        Coats laid dry, and how many of them were not weighed.
    elapsed : float
        From the first of them to the last, half an hour at least [s].
    jars : tuple of str
        Ids of their jars on the bench.
    jar_names : tuple of str
        Their names.
    loads, looks : int
        Loads, and looks through the open door with the putting in and the taking out.
    look_seconds : float
        All of the looks together [s].
    hottest : float or None
        Set point of the hottest load [K].
    written : tuple of str
        Other exposures that somebody wrote down.
    """

    day: date
    grams: float
    coats: int
    unweighed: int
    elapsed: float
    jars: tuple[str, ...]
    jar_names: tuple[str, ...]
    loads: int
    looks: int
    look_seconds: float
    hottest: float | None
    written: tuple[str, ...]

    @property
    def empty(self) -> bool:
        """Whether nothing of this kind happened."""
        return not (self.coats or self.grams or self.loads or self.looks or self.written)


def air_day(studio: Studio, day: date) -> AirDay:
    """Sum what one day brought of dust and glare.

    Parameters
    ----------
    studio : Studio
        The studio.
    day : date
        Of the workshop's own time.
    """
    begin = datetime.combine(day, time()).astimezone()
    span = (moment(begin), moment(begin + timedelta(days=1)))
    laid = [row for row in studio.between(coat_laid, *span) if row.method in DUSTY]
    told = [row for row in exposures(studio, *span) if row.work in _WORKS or row.work == "open door"]
    dusty = [row for row in told if row.work in {"sifting", "dry brushing"}]
    masses = [row.weighed_out if row.weighed_out is not None else row.on_piece for row in laid]
    known = {row.id: row for row in jars(studio, everything=True)}
    used = [known[number] for number in dict.fromkeys(row.jar for row in laid) if number in known]
    loads = loads_between(studio, *span)
    looks = studio.between(look, *span)
    usual = facts_of("health/glare")["health/look"].value
    opened = sum(row.door_open or usual for row in looks) + IN_AND_OUT * len(loads) * usual
    door = [row for row in told if row.work == "open door"]
    opened += sum(row.duration or usual * (row.looks or 1) for row in door)
    return AirDay(
        day=day,
        grams=sum(mass or 0.0 for mass in masses) + sum(row.grams or 0.0 for row in dusty),
        coats=len(laid),
        unweighed=sum(mass is None for mass in masses),
        elapsed=_span([row.at for row in laid + dusty]),
        jars=tuple(str(row.code) for row in used),
        jar_names=tuple(str(row.name) for row in used),
        loads=len(loads),
        looks=len(looks) + IN_AND_OUT * len(loads) + sum(int(row.looks or 1) for row in door),
        look_seconds=float(opened),
        hottest=max((row.set_point for row in loads if row.set_point), default=None),
        written=tuple(dict.fromkeys(row.work for row in told if row not in dusty and row.work != "open door")),
    )


def _span(moments: list[str]) -> float:
    at = sorted(datetime.fromisoformat(one.replace("Z", "+00:00")) for one in moments)
    return max(LEAST_SESSION, (at[-1] - at[0]).total_seconds()) if at else LEAST_SESSION


def dust_of(day: AirDay, bench: Bench, **more: Any) -> Answer[Any] | None:
    """Answer what was in the air on a day; None when no mass of powder is known.

    Parameters
    ----------
    day : AirDay
        Its sums.
    bench : Bench
        Jars and their hazards.
    **more
        Further fields of the question.
    """
    if day.grams <= 0:
        return None
    named = [code if _on(bench, code) else name for code, name in zip(day.jars, day.jar_names, strict=True)]
    found = [name for name in named if _on(bench, name)]
    asked = {"mass_g": 1000 * day.grams, "time_s": min(day.elapsed, 86400.0), "jars": found[:40], **more}
    return question("dust").ask(asked, bench)


def glare_of(day: AirDay, bench: Bench, studio: Studio) -> Answer[Any] | None:
    """Answer how much glare the looks of a day brought to the eye; None without a look or a temperature.

    Parameters
    ----------
    day : AirDay
        Its sums.
    bench : Bench
        Kilns with their doors.
    studio : Studio
        Its one kiln, when there is only one, tells the door.
    """
    if not day.looks or day.hottest is None:
        return None
    own = kilns(studio)
    asked: dict[str, Any] = {
        "temperature_k": day.hottest, "looks": day.looks, "look_s": max(day.look_seconds / day.looks, 1.0),
        "session_s": max(3600.0 * 8, day.look_seconds),
    }  # fmt: skip
    if len(own) == 1 and bench.kilns:
        asked["kiln"] = bench.kilns[0].name
    try:
        return question("glare").ask(asked, bench)
    except EnamelwrightError:
        return None  # a torch has no opening, and a kiln as it was described may not


def _on(bench: Bench, name: str) -> bool:
    try:
        bench.jar(name)
    except EnamelwrightError:
        return False
    return True

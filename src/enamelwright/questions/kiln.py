"""How does this kiln heat up, hold and recover, and what does a day of it cost?"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Temperature, Time
from enamelwright.craft.kiln import Control, Kiln
from enamelwright.craft.kiln_bodies import number
from enamelwright.craft.kiln_state import NOBODYS, KilnState, kiln_state, known_offset
from enamelwright.craft.kiln_use import COOLING_MARKS, MOST_FIRINGS, DoorLine, KilnUse, door_lines, kiln_use
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import value

CAUTION = (
    "Wiring, extraction and where the kiln stands follow its maker's instructions and local rules; its skin and the "
    "hot side of an open door burn. Heavy gloves and glasses rated for infrared at the open door."
)


class KilnInput(Described):
    """A kiln of the bench by name, or one described here, and a day with it."""

    name: Annotated[str, Field(max_length=120)] = Field("", description="a kiln of the bench; the first when left out")
    kiln: Kiln | None = Field(None, description="or a kiln described here")
    set_point: Annotated[Temperature, Field(gt=673, lt=1473)] | None = Field(
        None, description="on its display; a usual setting when left out"
    )
    load: Literal["none", "mesh", "plate", "shelf"] = "mesh"
    firings: Annotated[int, Field(gt=0, le=MOST_FIRINGS)] = 10
    turn: Annotated[Time, Field(gt=0, le=86400)] | None = Field(None, description="from one firing to the next")
    dwell: Annotated[Time, Field(gt=0, le=7200)] | None = Field(None, description="door closed on the piece")
    door_open: Annotated[Time, Field(gt=0, le=600)] | None = Field(None, description="door open to set a piece down")
    wait: Annotated[Time, Field(ge=0, le=86400)] = Field(0.0, description="at heat before the first firing")
    price_per_kwh: Annotated[float, Field(ge=0, le=100)] | None = Field(None, description="in any money")

    @model_validator(mode="after")
    def _once(self) -> KilnInput:
        if self.name and self.kiln is not None:
            raise InputError("the kiln is named and described.", "Keep one of them.")
        return self


class Opening(BaseModel):
    """What the door standing open for so long does."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    open_for: Figure
    display_falls_to: Figure | None
    display_back_after: Figure | None
    piece_sees_heat_again_after: Figure | None
    extra_energy: Figure | None


class KilnAnswer(BaseModel):
    """The kiln in use; an entry is empty where no honest figure can be given."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    kiln: str
    set_point: Figure | None = None
    reads_low: Figure | None = None
    heats_up: Figure | None = None
    hearth_ready: Figure | None = None
    energy_to_heat: Figure | None = None
    hold_power: Figure | None = None
    hold_duty: Figure | None = None
    skin: Figure | None = None
    display_dips: Figure | None = None
    piece_overshoots: Figure | None = None
    display_back_after_loading: Figure | None = None
    next_load_after_unloading: Figure | None = None
    openings: tuple[Opening, ...] = ()
    energy_of_a_firing: Figure | None = None
    energy_of_the_day: Figure | None = None
    cost_of_the_day: Figure | None = None
    cools_to: tuple[tuple[Figure, Figure], ...] = ()
    learned: tuple[str, ...] = ()


def answer(asked: KilnInput, bench: Bench) -> Answer[KilnAnswer]:
    """Work out a kiln in use.

    Parameters
    ----------
    asked : KilnInput
        Kiln and day.
    bench : Bench
        Its kilns.
    """
    kiln = asked.kiln or bench.kiln(asked.name) or NOBODYS
    if kiln.kind == "torch":
        words = f"'{kiln.name}' is a torch: it has no chamber to heat or to hold. Fire by the stage you see."
        return _reply(KilnAnswer(kiln=kiln.name), (words,), (), bench)
    point = value("heat/top_temperature") if asked.set_point is None else asked.set_point
    state = kiln_state(kiln)
    use = kiln_use(kiln, point, asked.load, asked.door_open, asked.dwell, asked.turn)
    turn = number("turn") if asked.turn is None else asked.turn
    day = use.day(asked.firings, turn, asked.wait)
    degrees, dial = kiln.speaks_degrees, state.facts.control == "dial"
    known = known_offset(kiln, point)
    payload = KilnAnswer(
        kiln=kiln.name,
        set_point=_told(point, "temperature") if degrees else None,
        reads_low=known.figure() if degrees else None,
        heats_up=use.heat_up,
        hearth_ready=use.hearth_ready,
        energy_to_heat=use.ready_energy,
        hold_power=use.hold_power,
        hold_duty=use.hold_duty,
        skin=use.case,
        display_dips=use.dip if degrees else None,
        piece_overshoots=use.overshoot if degrees else None,
        display_back_after_loading=use.recovers if degrees else None,
        next_load_after_unloading=None if dial else use.next_load,
        openings=tuple(_opening(line, degrees, dial) for line in door_lines(kiln, point, asked.load)),
        # A dial draws the same whatever goes in: a firing costs it nothing over holding.
        energy_of_a_firing=None if dial else use.firing_energy,
        energy_of_the_day=day,
        cost_of_the_day=_cost(day, asked.price_per_kwh),
        cools_to=tuple(
            (_told(mark, "temperature"), time) for mark, time in zip(COOLING_MARKS, use.cools, strict=False) if degrees
        ),
        learned=state.changed,
    )
    because = _because(use, asked, day, state.facts.control, known.words() if degrees else "")
    return _reply(payload, because, _assumptions(state, asked, point, degrees), bench)


def _told(number: float, dimension: str) -> Figure:
    return Figure.exact(number, dimension, Origin(kind="measured", source="as asked"))


def _computed(number: float, dimension: str) -> Figure:
    return Figure.exact(number, dimension, Origin(kind="computed", source="heat balance of the kiln"))


def _opening(line: DoorLine, degrees: bool, dial: bool) -> Opening:
    return Opening(
        open_for=_told(line.open_seconds, "time"),
        display_falls_to=_computed(line.lowest_display, "temperature") if degrees else None,
        display_back_after=_computed(line.display_back, "time") if degrees and line.display_back is not None else None,
        piece_sees_heat_again_after=(
            _computed(line.seen_back, "time") if not dial and line.seen_back is not None else None
        ),
        extra_energy=None if dial else _computed(line.extra, "energy"),
    )


def _cost(day: Figure, price: float | None) -> Figure | None:
    if price is None:
        return None
    per_joule = price / units.to_si(1.0, "kWh", "energy")
    return Figure(
        value=day.value * per_joule,
        low=day.low * per_joule,
        high=day.high * per_joule,
        dimension="ratio",
        origin=Origin(kind="computed", source="energy of the day times the price told, in its money"),
    )


def _because(use: KilnUse, asked: KilnInput, day: Figure, control: Control, reading: str) -> tuple[str, ...]:
    degrees = bool(reading)
    lines = [
        f"at heat after {use.heat_up.shown('min')}, the hearth after {use.hearth_ready.shown('min')}; "
        "pieces fired close to the hearth want the second",
        f"then it draws {use.hold_power.shown('W')}, {use.hold_duty.shown('%')} of its power",
    ]
    if control == "dial" and asked.load != "none":
        lines.append(
            f"after loading a {asked.load} it does not come back to its heat by itself: a dial gives the same power "
            "whatever the heat. Turn it up when you load and back when the colour is right, or wait longer between "
            "pieces"
        )
    elif use.recovers is None and asked.load != "none":
        lines.append(f"from a {asked.load} it does not recover within 20 minutes: the load is too heavy for this kiln")
    elif asked.load != "none" and degrees and use.recovers is not None:
        lines.append(f"after loading a {asked.load} the display is back within 10 °C in {use.recovers.shown()}")
    if use.next_load is None or control == "dial":
        lines.append("after a piece is taken out, wait until the chamber has its colour again before the next goes in")
    else:
        when = f"{use.next_load.shown()} after the door closes" if use.next_load.high > 0 else "at once"
        lines.append(f"after a piece is taken out, the next may go in {when}")
    lines.append(
        f"{asked.firings} firing{'s take' if asked.firings > 1 else ' takes'} {day.shown('kWh')} with the heating up; "
        + (
            "a dial draws the same with and without a piece, so fire close together"
            if control == "dial"
            else "most of what each costs is waiting at heat, so fire close together"
        )
    )
    if reading:
        lines.append(reading)
    return tuple(lines)


def _assumptions(state: KilnState, asked: KilnInput, point: float, degrees: bool) -> tuple[str, ...]:
    lines = list(state.assumed)
    if asked.set_point is None:
        lines.append(
            f"set to {units.show(point, 'temperature', '°C')}" if degrees else "run at a usual enamelling heat"
        )
    if not degrees:
        lines.append("this kiln shows no degrees, so none are told; go by colour and stage")
    lines.append("one temperature for the whole chamber: door side and roof differ from it")
    if not state.changed:
        lines.append(
            "tell time_to_set_min (minutes from cold to the set point) and hold_duty_percent (share of time on in a "
            "long hold): each narrows this answer"
        )
    return tuple(lines)


def _reply(
    payload: KilnAnswer, because: tuple[str, ...], assumptions: tuple[str, ...], bench: Bench
) -> Answer[KilnAnswer]:
    return Answer[KilnAnswer](
        question="kiln",
        payload=payload,
        because=because,
        sources=("heat balance of the chamber; tables heat/kiln, heat/kiln_linings, heat/kiln_presets",),
        assumptions=assumptions,
        cautions=(CAUTION,),
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="kiln",
    words="How does this kiln heat up, hold, recover, and what does it cost?",
    input=KilnInput,
    output=KilnAnswer,
    answer=answer,
    example={
        "kiln": {
            "name": "little front loader",
            "preset": "fibre medium",
            "power_w": 1800,
            "time_to_set_min": 14,
            "time_to_set_point_c": 800,
        },
        "set_point_c": 800,
        "firings": 20,
        "price_per_kwh": 0.3,
    },
    long=True,
)

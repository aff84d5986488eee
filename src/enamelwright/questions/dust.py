"""How much dust is in the air when powder is sifted or glass is stoned, against which limits, and what helps?"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Density, Described, Dimension, Mass, Time
from enamelwright.craft.health import dust_limits, sifting_dust
from enamelwright.craft.health.tier import Tier, tier
from enamelwright.errors import InputError
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import source_keys, sources

Volume = Annotated[float, Dimension("volume", "m3")]
Rate = Annotated[float, Dimension("rate", "per_h")]
Share = Annotated[float, Dimension("ratio", "percent")]
Dust = Annotated[float, Dimension("dust", "ug_per_m3")]

#: What the figure is and is not; every screen of it opens with this.
WHAT_IT_IS = (
    "A screening estimate, not a measurement and not a decision. Nobody has measured the air at an enameller's "
    "sifter: the high end is a bound, the middle and the low end are guesses. Local rules, the safety data sheet "
    "and a hygienist decide."
)


class DustInput(Described):
    """One session of dusty work, and the room it is done in."""

    work: sifting_dust.Work = "sifting"
    jars: Annotated[tuple[str, ...], Field(max_length=40)] = Field((), description="names or ids of the enamels")
    mass: Annotated[Mass, Field(gt=0, le=20)] = Field(description="powder sifted or brushed, or glass taken off")
    time: Annotated[Time, Field(gt=0, le=86400)] = Field(description="from the first grain to leaving the room")
    mesh: Annotated[int, Field(ge=20, le=635)] | None = Field(
        None, description="the powder fell through; 80 if left out"
    )
    washed: bool | None = Field(None, description="whether its fines were washed out; no if left out")
    density: Annotated[Density, Field(gt=1000, lt=9000)] | None = Field(None, description="of the glass")
    lead: Annotated[Share, Field(ge=0, le=0.8)] | None = Field(None, description="mass of lead in the glass")
    cadmium: Annotated[Share, Field(ge=0, le=0.3)] | None = Field(None, description="mass of cadmium in the glass")
    room: Annotated[Volume, Field(gt=2, le=5000)] | None = Field(None, description="volume; 30 m3 if left out")
    changes: Annotated[Rate, Field(ge=0, le=0.03)] | None = Field(
        None, description="changes of air an hour; 1 if left out, 0 for a shut room"
    )
    exhaust: bool = Field(False, description="an exhaust with a HEPA filter right beside the work")
    cleaner: bool = Field(False, description="a room air cleaner with a HEPA filter")
    mask: dust_limits.Mask = "none"
    fit_tested: bool = Field(False, description="whether the mask was fit-tested on this face")
    children: bool = Field(False, description="a child, or somebody pregnant or nursing, is in the room")
    measured: Annotated[Dust, Field(ge=0, le=1)] | None = Field(
        None, description="total dust of an air sample at the face during such a session"
    )


class DustLine(BaseModel):
    """Dust of one kind in one zone, as the mean of the session."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    zone: Literal["near", "far"]
    part: sifting_dust.Part
    figure: Figure
    tiers: str


class AgainstLine(BaseModel):
    """Dust held against one limit, as the mean of a shift of eight hours."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    limit: str
    what: str
    stands: str
    figure: Figure
    share: Figure
    tiers: str
    times: str
    level: Tier
    words: str


class HelpLine(BaseModel):
    """One change of habit and what it leaves."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    words: str
    left: Figure


class DustAnswer(BaseModel):
    """What is in the air, how it stands to limits, and what helps most."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    headline: str
    what_it_is: str
    level: Tier
    dust: tuple[DustLine, ...]
    metals: tuple[str, ...]
    against: tuple[AgainstLine, ...]
    helps: tuple[HelpLine, ...]
    mask: str
    screening: bool = True


def answer(asked: DustInput, bench: Bench) -> Answer[DustAnswer]:
    """Work out the dust of a session.

    Parameters
    ----------
    asked : DustInput
        Work, mass, time and room.
    bench : Bench
        Its jars tell mesh, washing, lead and cadmium.

    Raises
    ------
    InputError
        When the session or the room cannot be.
    """
    jars = [bench.jar(name) for name in asked.jars]
    mesh = asked.mesh or max((jar.mesh for jar in jars if jar.mesh), default=_USUAL_MESH)
    washed = bool(asked.washed) if asked.washed is not None else bool(jars) and all(jar.stock.washed for jar in jars)
    powder = sifting_dust.Powder.of_work(asked.work, asked.density) or sifting_dust.Powder.of_mesh(
        mesh, washed, asked.density
    )
    told = sifting_dust.told
    room = sifting_dust.Room(
        volume=asked.room or told("room").value,
        changes=told("changes").value if asked.changes is None else asked.changes,
        ceiling=told("ceiling").value,
        reach=told("reach").value,
        air_speed=told("air_speed").value,
        cleaner=told("cleaner").value if asked.cleaner else 0.0,
        capture=told("capture").value if asked.exhaust else 0.0,
    )
    session = sifting_dust.Session(asked.work, asked.mass, asked.time)
    air = sifting_dust.air_of(powder, session, room)
    metals = _metals(asked, bench)
    shares = metals.shares
    measured = None if asked.measured is None else dust_limits.measured_air(asked.measured)
    held = dust_limits.held_against(air, shares, asked.time, measured, bench.limits)
    mask = dust_limits.masked(asked.mask, asked.fit_tested, held)
    helps = sifting_dust.helps(powder, session, room, mesh, washed)
    level = dust_limits.worst(held)
    payload = DustAnswer(
        headline=_headline(held, asked),
        what_it_is=WHAT_IT_IS,
        level="stop" if asked.children and shares else tier(level),
        dust=tuple(
            _line(air, zone, part)
            for zone in sifting_dust.ZONES
            for part in sifting_dust.PARTS
        ),
        metals=tuple(sorted(f"{name} {share:.1%} of the mass" for name, share in shares.items())),
        against=tuple(
            AgainstLine(
                limit=_limit(one), what=one.limit.note, stands=one.limit.words(),
                figure=one.figure, share=one.share, tiers=dust_limits.tiers(one.figure, "µg/m3"),
                times=dust_limits.times(one.share), level=tier(one.level), words=one.words,
            )
            for one in held
        ),
        helps=tuple(
            HelpLine(words=one.words, left=Figure.exact(one.left, "ratio", air.figure("near", "total").origin))
            for one in helps
        ),
        mask=f"{mask.words} {dust_limits.which_mask(mask.needed) if mask.needed > mask.factor else ''}".strip(),
    )  # fmt: skip
    cited = dict.fromkeys(key for one in held for key in source_keys(one.limit.source))
    return Answer[DustAnswer](
        question="dust",
        payload=payload,
        because=_because(asked, powder, mesh, washed, room, air),
        sources=("two zones of a room, Nicas 2024; sizes by ISO 7708 / EN 481, Soderholm 1989",)
        + tuple(sources()[key].words() for key in cited),
        assumptions=tuple(line for lines in metals.given.values() for line in lines)
        + (
            "what stays in the air falls off with size by an assumed curve; the middle tier is a tenth of it, the low "
            "one a hundredth",
            "limits are means over eight hours at the face: a day with more sessions adds up",
        ),
        cautions=(*metals.cautions, *_cautions(asked, shares, room)),
        engine=engine(),
        bench=bench.revision,
    )


_USUAL_MESH = 80


def _metals(asked: DustInput, bench: Bench) -> dust_limits.Metals:
    """Return lead and cadmium: what is told for the session before what the jars tell."""
    found = dust_limits.metals_of([bench.jar(name) for name in asked.jars])
    shares, given = dict(found.shares), dict(found.given)
    for metal, told in (("lead", asked.lead), ("cadmium", asked.cadmium)):
        if told is not None:
            key: dust_limits.Metal = "lead" if metal == "lead" else "cadmium"
            shares[key] = told
            given.pop(key, None)
    return dust_limits.Metals({metal: one for metal, one in shares.items() if one > 0}, given, found.cautions)


def _line(air: sifting_dust.Air, zone: sifting_dust.Zone, part: sifting_dust.Part) -> DustLine:
    figure = air.figure(zone, part)
    return DustLine(zone=zone, part=part, figure=figure, tiers=dust_limits.tiers(figure, "µg/m3"))


def _place(one: dust_limits.Held) -> str:
    date = one.limit.date
    when = f", {'from ' * date[:1].isdecimal()}{date}" if date else ""
    return f"{one.limit.jurisdiction}{when}"


def _limit(one: dust_limits.Held) -> str:
    parts = {"total": "in all", "inhalable": "inhalable", "respirable": "respirable"}
    return f"{one.metal.capitalize() or 'dust'} {parts[one.part]}, {one.limit.shown().replace('ug/', 'µg/')}"


def _headline(held: list[dust_limits.Held], asked: DustInput) -> str:
    """Say in one sentence how it stands."""
    if not held:
        raise InputError("nothing to hold the dust against.", "Name the enamels.")
    first = max(held, key=lambda one: one.share.value)
    what = first.metal.capitalize() if first.metal else "Dust"
    line = f"{what} at the face: {first.words} ({_limit(first)}, {_place(first)})."
    if asked.children:
        line += " Children, and whoever is pregnant or nursing, leave the room for this work."
    return line


def _because(
    asked: DustInput, powder: sifting_dust.Powder, mesh: int, washed: bool, room: sifting_dust.Room,
    air: sifting_dust.Air,
) -> tuple[str, ...]:  # fmt: skip
    grain = f"{dust_limits.two_digits(units.from_si(powder.median, 'µm', 'length'))} µm"
    lines = []
    if asked.work in {"sifting", "dry brushing"}:
        kind = "its fines washed out" if washed else "with its fines"
        lines.append(f"powder through {mesh} mesh, {kind}: half of its mass coarser than about {grain}")
    lines.append(
        f"at the face {dust_limits.tiers(air.figure('near', 'total'), 'µg/m3')} of dust in all while "
        f"the session lasts, in the rest of the room {dust_limits.tiers(air.figure('far', 'total'), 'µg/m3')}"
    )
    lines.append(
        "the face is in the cloud of the hands: what is done there counts for more than the air of the room "
        f"({units.show(room.volume, 'volume', 'm3')}, {units.from_si(room.changes, '1/h', 'rate'):.2g} changes an hour)"
    )
    return tuple(lines)


def _cautions(asked: DustInput, shares: dict[dust_limits.Metal, float], room: sifting_dust.Room) -> tuple[str, ...]:
    lines = []
    if asked.children:
        lines.append("No work with lead or cadmium while a child or somebody pregnant or nursing is in the room.")
    if room.changes == 0:
        lines.append("A room without any fresh air: what floats stays until it settles. Open a window or run a fan.")
    if shares:
        lines.append(
            "Lead and cadmium: no food or drink at the bench, wash hands and arms, keep a smock for it, wipe wet, fold "
            "catch paper instead of tipping it; blood and urine tests are for a physician."
        )
    lines.append("Never sweep or blow dust away dry: wipe wet, or a vacuum with a HEPA filter.")
    return tuple(lines)


QUESTION = Question(
    name="dust",
    words="How much dust is in the air when I sift or stone, against which limits, and what helps most?",
    input=DustInput,
    output=DustAnswer,
    answer=answer,
    example={"mass_g": 43, "time_min": 240, "mesh": 80, "cadmium_percent": 2, "lead_percent": 30},
)

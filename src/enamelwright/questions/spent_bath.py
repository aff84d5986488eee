"""What may be done with this spent pickle, and what may never be done with it?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.baths import bath, bath_hazards, bath_words, counted, spent_bath
from enamelwright.craft.baths.bath_made import BathMade, Volume, never_mix
from enamelwright.craft.bench import Bench
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


class SpentBathInput(BathMade):
    """A spent bath, and what one's local rules say."""

    local_rules_allow: bool | None = Field(
        None, description="whether somebody responsible has said that it may be settled where you are"
    )
    soda: spent_bath.Soda = Field("soda ash", description="what stands on the packet")
    dose: float | None = Field(None, description="times what answers the acid first put in; 1.05 is usual")
    standing: spent_bath.Standing = "open overnight"
    rinse: Annotated[Volume, Field(gt=0, le=1)] | None = Field(None, description="water of the first rinse")
    drag_out: Annotated[Volume, Field(ge=0, le=1)] | None = Field(None, description="bath that clings to a load")


class DoseAnswer(BaseModel):
    """One dose of soda ash, and what it leaves."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    times: float
    left: Figure
    ph: Figure


class SettlingAnswer(BaseModel):
    """Settling with soda: what to weigh, what it fizzes, what is left, what settles."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    soda: Figure
    dose: float = Field(description="times what answers the acid first put in")
    gas: Figure
    vessel: Figure
    left: Figure
    left_words: str
    ph: Figure
    sludge_dry: Figure
    sludge_wet: Figure
    scale: Figure = Field(description="of that sludge, scale the acid never dissolved")
    doses: tuple[DoseAnswer, ...]


class HazardAnswer(BaseModel):
    """One line of a label."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    sign: str
    code: str
    words: str


class YardstickAnswer(BaseModel):
    """A published figure beside the copper of the bath."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    words: str
    shown: str
    cite: str
    times: float


class SpentBathAnswer(BaseModel):
    """What may be done, what never, and the figures. Settling is None unless it may be offered."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    route: str
    held_because: tuple[str, ...]
    next_step: str
    settling: SettlingAnswer | None
    copper: Figure
    rinse_copper: Figure
    rinse_soda: Figure
    rinse_left: Figure | None
    label: tuple[HazardAnswer, ...]
    yardsticks: tuple[YardstickAnswer, ...]
    never: tuple[str, ...]
    never_mix: tuple[str, ...]


def answer(asked: SpentBathInput, bench: Bench) -> Answer[SpentBathAnswer]:
    """Judge the bath, and dose it where that may be offered.

    Parameters
    ----------
    asked : SpentBathInput
        The bath.
    bench : Bench
        Not used.
    """
    book = counted.ledger(asked)
    now = bath.state_of(asked, book)
    held = spent_bath.why_held(asked, book, bench.limits)
    settling, because = None, list(held)
    if not held and asked.local_rules_allow and book.told:
        settling = _settling(asked, book)
    if not held:
        because.append("vinegar and salt that has met copper and nothing else")
    because.extend(bath.weak(asked, book))
    lying = book.undissolved()
    if lying.value > 0:
        amount = bath_words.between(lying.figure("mass"), "g")
        because.append(f"{amount} of scale lie undissolved in it, more than its acid can take: they go with the sludge")
    rinse = spent_bath.rinse_of(book, asked.rinse, asked.drag_out)
    acidity = (now.ph.low, now.ph.high) if now.ph is not None else ()
    strong = bool(book.chemistry.use == "etch" or asked.also or asked.kind == "other")
    marks = bath_hazards.hazards(None if book.chemistry.use == "etch" else now.copper.high, acidity, asked.met, strong)
    corrosive = bath_hazards.corrosive_waste(acidity)
    if corrosive:
        because.append(corrosive)
    exact = now.copper.origin
    return Answer[SpentBathAnswer](
        question="spent-bath",
        payload=SpentBathAnswer(
            route=spent_bath.route(asked, book),
            held_because=held,
            next_step=_next_step(asked, held, book.told),
            settling=settling,
            copper=now.copper,
            rinse_copper=rinse.copper,
            rinse_soda=Figure.exact(rinse.soda, "mass", exact),
            rinse_left=rinse.left,
            label=tuple(HazardAnswer(sign=one.sign, code=one.code, words=one.words) for one in marks),
            yardsticks=tuple(
                YardstickAnswer(words=one.words, shown=one.shown, cite=one.cite, times=now.copper.high / one.bound)
                for one in spent_bath.yardsticks(bench.limits)
            ),
            never=spent_bath.NEVER,
            never_mix=tuple(f"{one.one} and {one.other}: {one.gives}" for one in never_mix(book.chemistry.use)),
        ),
        because=tuple(because),
        sources=(book.chemistry.source, *(one.cite for one in spent_bath.yardsticks(bench.limits))),
        assumptions=(
            *book.assumptions,
            "equilibrium is not time: fresh sludge is nearer the upper end, aged sludge nearer the lower",
        ),
        cautions=(
            bath_words.SCREENING,
            "Treating waste may itself need leave where you are. Ask before anything goes to a drain.",
            "Goggles and gloves; soda in small spoonfuls, in a tall open vessel, with the window open.",
        ),
        engine=engine(),
        bench=bench.revision,
    )


def _next_step(asked: SpentBathInput, held: tuple[str, ...], told: bool) -> str:
    if held:
        return "Keep it in plastic with its lid on, labelled, out of reach, and hand it in."
    if asked.local_rules_allow is None:
        return (
            "Ask your waste officer whether it may be settled with soda; until then keep it, and it can be handed in."
        )
    if not asked.local_rules_allow:
        return "Your local rules do not allow settling: keep it and hand it in."
    if not told:
        return (
            "Soda is weighed by the acid that was put in, and its strength is not known: read it off the bottle or the "
            "packet (5 % on most vinegars). Without it, keep the bath and hand it in."
        )
    return "Settle it, let it stand, keep the sludge for handing in, and ask before the clear liquor goes anywhere."


def _settling(asked: SpentBathInput, book: counted.Ledger) -> SettlingAnswer:
    found = spent_bath.settle(book, asked.soda, asked.standing, asked.dose)
    exact = found.gas.origin
    return SettlingAnswer(
        soda=Figure.exact(found.soda, "mass", exact),
        dose=spent_bath.usual_factor(asked.soda) if asked.dose is None else asked.dose,
        gas=found.gas,
        vessel=Figure.exact(found.vessel, "volume", exact),
        left=found.left,
        left_words=bath_words.between(found.left, "mg/L"),
        ph=found.ph,
        sludge_dry=found.dry,
        sludge_wet=found.wet,
        scale=found.scale,
        doses=tuple(
            DoseAnswer(times=times, left=left, ph=ph) for times, left, ph in spent_bath.doses(book, asked.standing)
        ),
    )


QUESTION = Question(
    name="spent-bath",
    words="What may be done with this spent pickle, and what may never be done with it?",
    input=SpentBathInput,
    output=SpentBathAnswer,
    answer=answer,
    example={
        "kind": "vinegar and salt",
        "volume_l": 0.5,
        "strength": "5 %",
        "salt_g": 15,
        "met": [],
        "cleaned": [{"oxide_g": 2}],
        "local_rules_allow": True,
    },
)

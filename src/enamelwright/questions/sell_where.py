"""What do rules say of lead and cadmium where I sell, and what should I do next?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described
from enamelwright.craft.health import sell_where
from enamelwright.craft.jar import Answer as Held
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine

#: What the answer is and is not.
WHAT_IT_IS = (
    "A list of texts that speak of such a piece, with dates, as far as they are known here: no advice on the law, and "
    "never a yes or a no. Texts change; read the one in force, ask a laboratory and the authority of the place."
)


class SellWhereInput(Described):
    """A piece and where it is sold."""

    market: sell_where.Market = "EU"
    use: sell_where.Use = Field(
        "jewellery", description="jewellery; child: for a child; mouth: goes into it; food: touches it; decorative ware"
    )
    jars: Annotated[tuple[str, ...], Field(max_length=40)] = Field((), description="names or ids of its enamels")
    lead: Held | None = Field(None, description="whether its enamels hold lead; the jars tell if left out")
    cadmium: Held | None = None


class RuleLine(BaseModel):
    """One text and what it asks for."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    rule: str
    market: str
    metal: str
    number: str
    on_enamel: str
    outcome: sell_where.Outcome
    next: str
    date: str
    status: str


class SellWhereAnswer(BaseModel):
    """Texts that speak of the piece, those that ask for most first."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    headline: str
    what_it_is: str
    rules: tuple[RuleLine, ...]
    screening: bool = True


def answer(asked: SellWhereInput, bench: Bench) -> Answer[SellWhereAnswer]:
    """List the texts.

    Parameters
    ----------
    asked : SellWhereInput
        Market, use and enamels.
    bench : Bench
        Its jars tell lead and cadmium.

    Raises
    ------
    UnknownName
        When a jar is not of this bench.
    """
    jars = [bench.jar(name) for name in asked.jars]
    lead = asked.lead or joined([jar.hazards.lead for jar in jars])
    cadmium = asked.cadmium or joined([jar.hazards.cadmium for jar in jars])
    rules = sell_where.rules_for(asked.market, asked.use, lead, cadmium)
    return Answer[SellWhereAnswer](
        question="sell-where",
        payload=SellWhereAnswer(
            headline=sell_where.first_words(asked.use, lead, cadmium),
            what_it_is=WHAT_IT_IS,
            rules=tuple(
                RuleLine(
                    rule=one.rule, market=one.market, metal="lead and cadmium" if one.metal == "both" else one.metal,
                    number=one.number, on_enamel=one.on_enamel, outcome=one.outcome, next=one.next_step(),
                    date=one.date or "date not known here", status=one.status,
                )
                for one in rules
            ),
        ),
        because=(f"lead: {lead}; cadmium: {cadmium}; sold in: {asked.market}; for: {asked.use}",),
        sources=tuple(dict.fromkeys(one.source for one in rules)),
        assumptions=("solder, findings and base metal are parts of the piece with numbers of their own",),
        cautions=("Keep the data sheets of the enamels with the sale: a buyer or an authority asks for them.",),
        engine=engine(),
        bench=bench.revision,
    )  # fmt: skip


def joined(answers: list[Held]) -> Held:
    """Return what several jars tell together, the worst of them.

    Parameters
    ----------
    answers : list of str
        One a jar; none is unknown.
    """
    for one in ("yes", "mixed", "unknown"):
        if one in answers:
            found: Held = "yes" if one == "yes" else "mixed" if one == "mixed" else "unknown"
            return found
    return "no" if answers else "unknown"


QUESTION = Question(
    name="sell-where",
    words="What do rules say of lead and cadmium where I sell, and what should I do next?",
    input=SellWhereInput,
    output=SellWhereAnswer,
    answer=answer,
    example={"market": "EU", "use": "jewellery", "lead": "yes", "cadmium": "no"},
)

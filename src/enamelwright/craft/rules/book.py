"""The book of rules: a row of the table of trade rules and one predicate make a rule."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast, get_args

from enamelwright.craft.rules.case import Case
from enamelwright.craft.verdict import Advice, Place, Verdict
from enamelwright.errors import HouseError
from enamelwright.figure import Figure
from enamelwright.reference import loader

#: A finding about the whole piece.
EVERYWHERE = Place()
Severity = Literal["note", "watch", "stop"]
Needs = Literal["plan", "sequence", "record", "entry"]


@dataclass(frozen=True)
class Rule:
    """One row of the table.

    Parameters
    ----------
    id, family : str
        Name; file of this folder that holds its predicate.
    severity : str
        ``note`` gives an advice line, the others a verdict.
    words, remedy : str
        One plain sentence; what to do.
    sources : tuple of str
        Where it comes from, in words.
    status : str
        How far it can be trusted.
    may_intend : bool
        Whether a maker may break it on purpose.
    techniques : tuple of str
        Techniques whose choice already says that it is meant.
    needs : str
        ``plan`` when piece file and plan are enough; ``sequence`` when the ordering of the firings
        decides it and says so itself; ``record`` when only a log can tell; ``entry`` when the file is
        refused as it is read.
    """

    id: str
    family: str
    severity: Severity
    words: str
    remedy: str
    sources: tuple[str, ...]
    status: str
    may_intend: bool
    techniques: tuple[str, ...]
    needs: Needs


@dataclass(frozen=True)
class Finding:
    """One place where a rule has something to say.

    Parameters
    ----------
    because : tuple of str
        The facts with their numbers.
    place : Place
        Where.
    figure : Figure, optional
        The number judged.
    severity : str, optional
        Another severity than the table's, when the rule's own facts call for it.
    words, remedy : str
        Other words than the table's, when the facts call for it.
    """

    because: tuple[str, ...]
    place: Place = EVERYWHERE
    figure: Figure | None = None
    severity: Severity | None = None
    words: str = ""
    remedy: str = ""


Predicate = Callable[[Case], Iterable[Finding]]
_PREDICATES: dict[str, Predicate] = {}
#: Overrides of the table under which a maker's note turns a finding into one that is meant.
_MEANT = frozenset({"mark intended", "acknowledge", "acknowledge with reason", "house rule", "choose"})


def rule(name: str) -> Callable[[Predicate], Predicate]:
    """Register the predicate of one rule.

    Parameters
    ----------
    name : str
        Id of its row.
    """

    def keep(predicate: Predicate) -> Predicate:
        if name in _PREDICATES:
            raise HouseError(f"the rule '{name}' has two predicates.")
        _PREDICATES[name] = predicate
        return predicate

    return keep


def _severity(text: str) -> Severity:
    for known in get_args(Severity):
        if known == text:
            return cast("Severity", text)
    raise HouseError(f"'{text}' is not a severity of a rule.")


def _needs(text: str) -> Needs:
    for known in get_args(Needs):
        if known == text:
            return cast("Needs", text)
    raise HouseError(f"'{text}' does not say what a rule needs.")


@lru_cache(maxsize=1)
def rules() -> dict[str, Rule]:
    """Return every rule of the table by id, live or not."""
    known = loader.sources()
    return {
        row["rule_id"]: Rule(
            id=row["rule_id"],
            family=row["family"],
            severity=_severity(row["severity"]),
            words=row["words"],
            remedy=row["remedy"],
            sources=(
                *(known[key].words() for key in loader.source_keys(row["source"])),
                f"status: {row['status']}",
            ),
            status=row["status"],
            may_intend=row["override"] in _MEANT,
            techniques=loader.source_keys(row["by_technique"]),
            needs=_needs(row["needs"]),
        )
        for row in loader.rows("trade/rules")
    }


def live() -> tuple[str, ...]:
    """Return the ids of the rules that piece file and plan are enough for, in table order."""
    return tuple(name for name, row in rules().items() if row.needs == "plan")


def predicates() -> dict[str, Predicate]:
    """Return the registered predicates by rule id."""
    return dict(_PREDICATES)


def _speak(case: Case, row: Rule, found: Finding) -> Verdict | Advice:
    level = found.severity or row.severity
    words = found.words or row.words
    if level == "note":
        said = f"{words} {found.remedy or row.remedy}".strip() if not found.words else words
        return Advice(rule=row.id, words=said, because=found.because, sources=row.sources, place=found.place)
    note = case.piece.means(row.id) if row.may_intend else None
    if note is None and case.technique in row.techniques:
        note = "the technique means it"
    return Verdict(
        rule=row.id,
        level=level,
        words=words,
        remedy=found.remedy or row.remedy,
        because=found.because,
        sources=row.sources,
        figure=found.figure,
        place=found.place,
        intended=note or "",
    )


def apply_book(case: Case) -> tuple[tuple[Verdict, ...], tuple[Advice, ...]]:
    """Ask every live rule about a case, in table order.

    Parameters
    ----------
    case : Case
        What is judged.

    Returns
    -------
    tuple
        Verdicts, and advice lines that the sequence has not given already.
    """
    given = {line.rule for line in case.sequence.advice}
    verdicts: list[Verdict] = []
    advice: list[Advice] = []
    for name in live():
        row = rules()[name]
        for found in _PREDICATES[name](case):
            said = _speak(case, row, found)
            if isinstance(said, Verdict):
                verdicts.append(said)
            elif said.rule not in given:
                advice.append(said)
    return tuple(verdicts), tuple(advice)

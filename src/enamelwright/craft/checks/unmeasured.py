"""Doubts that come of jars nobody measured: one Watch that says so, in place of several that blame the build."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from enamelwright.craft.checks.flatness_states import Solved
from enamelwright.craft.verdict import Verdict
from enamelwright.figure import Array

#: How a glass is known when nobody has measured its jar.
UNMEASURED = frozenset({"class", "nothing"})
#: Share of the spread from which unmeasured jars make most of it.
MOST = 0.5
#: The gravest doubt leads.
LEADS = ("FLAT-FACE", "FLAT-BOW", "FLAT-RIM")


@dataclass(frozen=True, eq=False)
class Found:
    """A verdict and what is needed to see why it is in doubt.

    Parameters
    ----------
    verdict : Verdict
        As judged.
    likely : str
        What happens most likely, where that is good; empty where it is not.
    question : str
        What is in doubt, e.g. ``how far it bows``.
    draws : tuple of ndarray, shape (n_draw,)
        The number judged, for every draw; several when its band spans several answers.
    """

    verdict: Verdict
    likely: str
    question: str
    draws: tuple[Array, ...]


def unmeasured_jars(solved: Solved) -> dict[str, str]:
    """Return the name of every jar on the piece nobody has measured, by its id."""
    return {
        one.layer.jar.id: one.layer.jar.name
        for one in solved.model.history.laminae
        if one.layer.glass.known_by in UNMEASURED
    }


def share_of_jars(solved: Solved, values: Array) -> float:
    """Return the share of the variance of a number that the unmeasured jars explain.

    A straight-line fit on expansion and setting of each jar, corrected for the number of its terms.

    Parameters
    ----------
    solved : Solved
        The piece and its draws.
    values : ndarray, shape (n_draw,)
        The number of every draw.
    """
    jars = unmeasured_jars(solved)
    first: dict[str, int] = {}
    for n, one in enumerate(solved.model.history.laminae):
        if one.layer.jar.id in jars:
            first.setdefault(one.layer.jar.id, n)
    if not first:
        return 0.0
    at = list(first.values())
    return explained(
        np.column_stack([solved.draws.coat_strain[:, at], solved.draws.group[:, at].astype(np.float64)]), values
    )


def explained(terms: Array, values: Array) -> float:
    """Return the share of the variance of a number that a straight-line fit explains, corrected for its terms.

    Parameters
    ----------
    terms : ndarray, shape (n, k)
        Without a constant, which is always fitted too.
    values : ndarray, shape (n,)
        The number; 0 is returned where it does not vary or the terms are too many to tell.

    Notes
    -----
    The adjusted R squared. Checked in tests/published/test_nist_regression.py.
    """
    scatter = float(np.var(values))
    free = values.size - 1 - terms.shape[1]
    if scatter <= 0 or free <= 0:
        return 0.0
    inputs = np.column_stack([np.ones(values.size), terms])
    rest = float(np.var(values - inputs @ np.linalg.lstsq(inputs, values, rcond=None)[0]))
    return float(1 - rest / scatter * (values.size - 1) / free)


def merged(found: tuple[Found, ...], solved: Solved) -> tuple[Verdict, ...]:
    """Put all Watches that only unmeasured jars cause into one; the others keep their place as good.

    Parameters
    ----------
    found : tuple of Found
        In the order to return them.
    solved : Solved
        The piece and its draws.
    """
    doubts = [
        one
        for one in found
        if one.verdict.level == "watch"
        and one.likely
        and max(share_of_jars(solved, values) for values in one.draws) >= MOST
    ]
    if not doubts:
        return tuple(one.verdict for one in found)
    doubts.sort(key=lambda one: LEADS.index(one.verdict.rule))
    names = list(unmeasured_jars(solved).values())
    return tuple(
        _asked(doubts, names) if one is doubts[0] else _likely(one) if one in doubts else one.verdict for one in found
    )


def _asked(doubts: list[Found], names: list[str]) -> Verdict:
    """Return the one Watch: what is likely, what is not known, and why."""
    lead = doubts[0].verdict
    quoted = [f"'{name}'" for name in names]
    jars = f"jar {quoted[0]}" if len(names) == 1 else f"the jars {_listed(quoted)}"
    likely, asked = (_listed([getattr(one, part) for one in doubts]) for part in ("likely", "question"))
    words = f"Most likely {likely}. But {asked} is not known, because nobody has measured {jars}."
    note = "the jar's expansion from its data sheet" if len(names) == 1 else "each jar's expansion from its data sheet"
    because = dict.fromkeys(line for one in doubts for line in one.verdict.because)
    sources = dict.fromkeys(line for one in doubts for line in one.verdict.sources)
    return lead.model_copy(
        update={
            "words": words,
            "remedy": f"Fire a test tile of this stack, or note {note}.",
            "because": tuple(because),
            "sources": tuple(sources),
        }
    )


def _likely(one: Found) -> Verdict:
    """Return a doubt that another Watch tells of already."""
    words = f"Most likely {one.likely}; how sure that is depends on the jars nobody has measured."
    return one.verdict.model_copy(update={"level": "good", "words": words, "remedy": ""})


def _listed(parts: list[str]) -> str:
    """Join words as they are spoken."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"

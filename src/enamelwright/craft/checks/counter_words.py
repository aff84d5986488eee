"""A band of counter-coats rounded to what a maker can lay, and put in plain words."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

from enamelwright.craft.checks.judgement import level
from enamelwright.craft.checks.wording import mm, times
from enamelwright.craft.plan import CounterBand
from enamelwright.reference import loader

#: Share of a step that rounding to whole steps may forgive.
SLACK = 1e-6
#: Decimals of a metre kept: a tenth of a micrometre.
METRE_DIGITS = 7


@dataclass(frozen=True)
class Span:
    """Counter-coats that keep one limit of bow.

    Parameters
    ----------
    low : float
        Thinnest [m]; 0 when the bare back does.
    high : float
        Thickest [m]; no more than the customary back for this front, unless nothing less does.
    flat : float or None
        The one that leaves no bow [m].
    least : float
        Thinnest whose rim holds [m].
    sure : bool
        True when nine pieces in ten keep it, False when only the likely one does.
    planned : bool
        The counter-coat planned is among them.
    """

    low: float
    high: float
    flat: float | None
    least: float
    sure: bool
    planned: bool

    @property
    def chips(self) -> bool:
        """Whether all of it is too thin for its rim."""
        return self.least > self.high

    @property
    def by_rim(self) -> bool:
        """Whether the rim and not the bow sets the lower end."""
        return self.least > self.low and not self.chips

    def rounded(self) -> tuple[float, float]:
        """Return both ends, rim included, rounded inwards to whole steps."""
        step = level("counter_step")
        low = round(ceil(max(self.low, self.least if self.by_rim else 0.0) / step - SLACK) * step, METRE_DIGITS)
        return low, max(round(floor(self.high / step + SLACK) * step, METRE_DIGITS), low)


@dataclass(frozen=True)
class Strict:
    """The strict limit, where the looser one is told: its bow [m] and what keeps it, if anything does."""

    limit: float
    span: Span | None


def too_thick(flat: float | None, limit: float, together: bool) -> CounterBand:
    """Return an empty band where only more glass than is customary would do.

    Parameters
    ----------
    flat : float or None
        Counter-coat that leaves no bow [m].
    limit : float
        Bow allowed [m].
    together : bool
        Both faces are fired together already.
    """
    other = (
        "make the front thinner or the metal thicker"
        if together
        else "make the front thinner, the metal thicker, or fire both faces together"
    )
    most = times(loader.value("trade/back_to_front_high"))
    words = (
        f"No sensible counter-enamel, up to {most} times the glass of the front, keeps it under {mm(limit)} of bow: "
        f"{other} instead."
    )
    return CounterBand(low=None, high=None, flat=flat, limit=limit, words=words)


def told(span: Span | None, strict: Strict | None, limit: float, imagined: bool) -> CounterBand:
    """Return a band with its words.

    Parameters
    ----------
    span : Span or None
        What keeps `limit`; None when nothing does.
    strict : Strict or None
        The strict limit when `limit` is a looser one.
    limit : float
        Bow allowed [m].
    imagined : bool
        The piece as described has no counter-coat.
    """
    if span is None:
        return CounterBand(low=None, high=None, flat=None, limit=limit, words=_none(limit, imagined))
    low, high = span.rounded()
    return CounterBand(low=low, high=high, flat=span.flat, limit=limit, words=_words(span, strict, limit, imagined))


def _glass(span: Span) -> str:
    """Say which counter-enamel."""
    low, high = span.rounded()
    if low <= 0:
        return f"a bare back, or counter-enamel up to {mm(high)} of fired glass,"
    if high - low < level("counter_step"):
        return f"counter-enamel of about {mm(low)} of fired glass"
    return f"counter-enamel from {mm(low).removesuffix(' mm')} to {mm(high)} of fired glass"


def _words(span: Span, strict: Strict | None, limit: float, imagined: bool) -> str:
    near = "nearly flat, under" if strict is not None else "under"
    words = f"{_glass(span)} keeps it {near} {mm(limit)} of bow"
    if span.by_rim:
        words += " and keeps its rim; thinner would do for the bow but may chip there"
    elif span.chips:
        words += ", but so thin a coat may chip at its rim"
    low, high = span.rounded()
    if high - low < level("counter_step"):
        words += "; little else does"
    if strict is not None:
        words += f"; {_strictly(strict)}"
    if imagined:
        words = f"with a counter-coat of the same glass, fired with the first front coat: {words}"
    if span.sure:
        return f"{words[0].upper()}{words[1:]}."
    return (
        f"Most likely {words}. Uneven coats and what is not known of the glass can move it further: "
        "fire a test strip of each jar."
    )


def _strictly(strict: Strict) -> str:
    if strict.span is None:
        return f"no sensible counter-enamel is sure to keep the strict limit of {mm(strict.limit)}"
    words = f"the strict limit of {mm(strict.limit)} takes {_glass(strict.span).removesuffix(',')}"
    return f"{words}, which may chip at its rim" if strict.span.chips else words


def _none(limit: float, imagined: bool) -> str:
    what = "No thickness of that glass" if imagined else "No thickness of this counter-enamel"
    return (
        f"{what} brings it under {mm(limit)} of bow in this order of firing: fire both faces together, press it "
        "flat while hot, or choose a counter-enamel that is harder or expands less."
    )

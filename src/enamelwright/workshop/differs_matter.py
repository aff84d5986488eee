"""How much each thing that differs may move the first gloss, by the laws and spreads windows go by.

What a law tells moves it one way: a thinner coat glosses later. What is only known as a spread moves it either way:
how far a kiln wanders in a month, how far lots of one jar lie apart.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import e, exp, hypot, inf, log10, sqrt
from typing import Any

from enamelwright.craft.bench import Bench
from enamelwright.craft.learned_clock import ANY_JAR
from enamelwright.craft.plan import Plan
from enamelwright.craft.window.facts import number
from enamelwright.errors import EnamelwrightError
from enamelwright.reference.loader import facts_of

#: Two of a kind lie apart by this times the spread of one.
TWO = sqrt(2.0)
#: From here on seconds are told in tens.
TENS = 100.0
#: Seconds of a day.
DAY = 86400.0


@dataclass(frozen=True)
class Effect:
    """How far something may move the first gloss.

    Attributes
    ----------
    by : str
        What tells it.
    decades : float
        Of the clock of gloss; above zero where more is needed, so that gloss comes later.
    seconds : float
        That come on top [s].
    one_way : bool
        Whether its sign is known; else it is a spread.
    """

    by: str
    decades: float = 0.0
    seconds: float = 0.0
    one_way: bool = False


@dataclass(frozen=True)
class Matters:
    """How much a row matters, as it is ranked and said.

    Attributes
    ----------
    words : str
        Like ``about 12 s either way``.
    by : str
        What tells it; empty where no model does.
    seconds : float or None
        By how much the first gloss moves [s], above zero for later; None where no course was foretold, or by no model.
    decades : float or None
        The same in decades of the clock of gloss.
    size : float
        What rows are ranked by; below zero where no model tells.
    """

    words: str
    by: str = ""
    seconds: float | None = None
    decades: float | None = None
    size: float = -1.0


#: Nothing tells it.
UNTOLD = Matters("no model tells")


@dataclass(frozen=True)
class Course:
    """When a clock passes its first gloss, as it was foretold.

    Attributes
    ----------
    pairs : tuple of (float, float)
        Seconds, and decades from the first gloss; both rise. None where nothing was foretold.
    """

    pairs: tuple[tuple[float, float], ...] = ()

    @classmethod
    def of(cls, figures: Mapping[str, Any] | None) -> Course:
        """Read the course out of what was frozen of a firing.

        Parameters
        ----------
        figures : mapping, optional
            Of the prediction.
        """
        window = ((figures or {}).get("firing") or {}).get("window") or {}
        pairs = tuple((float(at), float(clock)) for at, clock in window.get("clock") or ())
        return cls(pairs if len(pairs) > 1 else ())

    @classmethod
    def planned(cls, plan: Plan | None, number: int) -> Course:
        """Read the course of a firing to come out of a plan.

        Parameters
        ----------
        plan : Plan or None
            Of the piece.
        number : int
            Which firing.
        """
        firings = () if plan is None else plan.firings
        window = next((one.window for one in firings if one.number == number), None)
        return cls(window.clock if window is not None and len(window.clock) > 1 else ())

    def __bool__(self) -> bool:
        """Whether anything was foretold."""
        return bool(self.pairs)

    def at(self, decades: float) -> float:
        """Return when the clock stands so many decades past the first gloss [s]; at heat it goes on with the time.

        Parameters
        ----------
        decades : float
            Below zero before it.
        """
        for (before, low), (after, high) in pairwise(self.pairs):
            if decades <= high:
                return before + (after - before) * max((decades - low) / (high - low), 0.0)
        last, clock = self.pairs[-1]
        return float(last * 10 ** (decades - clock))

    def matters(self, effect: Effect | None) -> Matters:
        """Say how much something matters.

        Parameters
        ----------
        effect : Effect or None
            None where no model tells.
        """
        if effect is None:
            return UNTOLD
        if not self.pairs:
            return _by_share(effect)
        gloss = self.at(0.0)
        if effect.one_way:
            moved = self.at(effect.decades) - gloss + effect.seconds
        else:
            moved = (self.at(effect.decades) - self.at(-effect.decades)) / 2
            moved = hypot(moved, effect.seconds)
        return Matters(_seconds(moved, effect.one_way), effect.by, moved, effect.decades, abs(moved))


def _by_share(effect: Effect) -> Matters:
    """Say it as a share of the time at heat, where no course was foretold."""
    usual = number("maturity_seconds")
    moved = usual * (10**effect.decades - 1)
    size = abs(moved + effect.seconds) if effect.one_way else hypot(moved, effect.seconds)
    if not effect.decades:
        return Matters(_seconds(effect.seconds, effect.one_way), effect.by, effect.seconds, 0.0, size)
    share = round(100 * abs(moved) / usual)
    way = ("later" if moved > 0 else "sooner") if effect.one_way else "either way"
    return Matters(f"about {share} % of the time at heat {way}", effect.by, None, effect.decades, size)


def _seconds(moved: float, one_way: bool) -> str:
    size = abs(moved)
    if round(size) < 1:
        return "less than a second"
    told = f"{round(size, -1):.0f}" if size >= TENS else f"{size:.0f}"
    return f"about {told} s " + (("later" if moved > 0 else "sooner") if one_way else "either way")


class Models:
    """The laws and spreads that tell how much a difference matters.

    Parameters
    ----------
    bench : Bench
        Jars and kilns with what was taught of them.
    """

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._spreads = {key.partition("/")[2]: fact.value for key, fact in facts_of("heat/learning").items()}

    def _spread(self, name: str) -> float:
        return self._spreads[f"learn_{name}"]

    def kilns(self, one: str, other: str, jars: Sequence[str]) -> Effect:
        """Return how far two kilns may lie apart: as far as their own firings left it open."""
        return Effect("how far kilns lie apart", hypot(*(self._kiln_sd(kiln, jars) for kiln in (one, other))))

    def _kiln_sd(self, kiln: str, jars: Sequence[str]) -> float:
        mine = [clock for clock in self._bench.learned_clocks if clock.kiln.casefold() == kiln.casefold()]
        names = {jar.casefold() for jar in jars}
        fitting = [one for one in mine if one.jar.casefold() in names] or [one for one in mine if one.jar == ANY_JAR]
        return min((one.sd for one in fitting), default=self._spread("kiln"))

    def jumps(self, count: int) -> Effect:
        """Return how far a kiln may have jumped at so many events that made it another one."""
        return Effect("what was done to the kiln", self._spread("jump") * sqrt(count))

    def days(self, gaps: Sequence[float]) -> Effect:
        """Return how far a kiln may have wandered over days between its firings; a long rest wears it no further."""
        passed = sum(min(gap, self._spread("rest") / DAY) for gap in gaps)
        return Effect("how a kiln wanders", hypot(self._spread("drift") * sqrt(passed), self._spread("trend") * passed))

    def pauses(self, then: float, now: float) -> Effect:
        """Return what a kiln still lacks after a short pause [s]."""
        late = [exp(-pause / self._spread("recovery")) for pause in (then, now)]
        return Effect("a kiln that has not recovered", self._spread("haste") * (late[1] - late[0]), one_way=True)

    def eyes(self) -> Effect:
        """Return how far two people see the first gloss apart."""
        return Effect("how well eyes time it", seconds=self._spread("eye") * TWO)

    def kinds(self) -> Effect:
        """Return what size, support and place may bring."""
        return Effect("what support and place bring", self._spread("kind") * TWO)

    def settings(self, then: float, now: float, jars: Sequence[str]) -> Effect | None:
        """Return how much more the clock needs at another setting [K], by the viscosity of the glass."""
        from enamelwright.craft.window.fusing import melt_of

        for code in jars:
            jar = self._bench.find_jar(code)
            if jar is not None:
                law = melt_of(jar).law
                more = float(law.log_viscosity(now)) - float(law.log_viscosity(then))
                return Effect("how the glass thins with heat", more, one_way=True)
        return None

    def jars(self, then: str, now: str, point: float | None) -> Effect | None:
        """Return how much more one jar needs than another, and how well both are known."""
        from enamelwright.craft.window.fusing import melt_of

        pair = [self._known_jar(code) for code in (then, now)]
        if None in pair or point is None:
            return None
        melts = [melt_of(jar) for jar in pair]
        need = [melt.shift + float(melt.law.log_viscosity(point)) for melt in melts]
        more, open_ = need[1] - need[0], hypot(*(melt.sd for melt in melts))
        if abs(more) > open_:
            return Effect("how the jars flow", more, one_way=True)
        return Effect("how the jars flow", hypot(more, open_))

    def _known_jar(self, code: str) -> Any:
        try:
            return self._bench.jar_in(code)
        except EnamelwrightError:
            return None

    def lots(self, jar: str, then: str, now: str) -> Effect:
        """Return how much more one lot of a jar needs than another: as firings of both told, or as far as lots differ.

        Parameters
        ----------
        jar : str
            Its code.
        then, now : str
            Lots as what was learned names them.
        """
        mine = [one for one in self._bench.learned_clocks if one.jar.casefold() == jar.casefold() and not one.coat]
        told = {(one.kiln, one.lot): one for one in mine if one.lot}
        for kiln in dict.fromkeys(one.kiln for one in mine):
            if (kiln, then) in told and (kiln, now) in told:
                old, new = told[kiln, then], told[kiln, now]
                more = new.decades - old.decades
                open_ = number("repeat_sd") * hypot(*(one.firings**-0.5 for one in (old, new)))
                sure = abs(more) > open_
                return Effect("how these two lots came out", more if sure else hypot(more, open_), one_way=sure)
        return Effect("how far lots lie apart", self._spread("lot"))

    def amounts(self, then: float, now: float) -> Effect | None:
        """Return what another amount brings by the law of gloss: a thinner coat levels later."""
        from enamelwright.craft.window.thresholds import DEPTH_POWER

        if then <= 0 or now <= 0:
            return None
        return Effect("law of gloss: how thick", -DEPTH_POWER * log10(now / then) * number("law_share"), one_way=True)

    def sieves(self, then: int, now: int) -> Effect:
        """Return what another sieve brings by the law of gloss: coarse grains level later."""
        from enamelwright.craft.window.powders import grain_of_mesh
        from enamelwright.craft.window.thresholds import GRAIN_POWER

        coarser = log10(grain_of_mesh(now) / grain_of_mesh(then))
        return Effect("law of gloss: how coarse", GRAIN_POWER * coarser * number("law_share"), one_way=True)

    def hands(self, weighed: bool) -> Effect | None:
        """Return what another hand brings; None for coats that were weighed on the piece, whose weight tells more."""
        from enamelwright.craft.window.thresholds import DEPTH_POWER

        if weighed:
            return None
        own = sqrt(1 - self._spread("hand_share_bench"))
        thick = hypot(self._spread("hand_loss_sd"), self._spread("hand_packing_sd")) * own * TWO
        return Effect("how hands lay a coat", DEPTH_POWER * thick * log10(e) * number("law_share"))


def longer(then: float, now: float) -> Matters:
    """Say how much longer a piece was in the kiln [s]: that comes after the first gloss, and does not move it.

    Parameters
    ----------
    then, now : float
        [s].
    """
    apart = now - then
    words = f"not the gloss: {abs(apart):.0f} s {'longer' if apart > 0 else 'shorter'} in the kiln"
    return Matters(words, "as written down", None, None, abs(apart) if apart else -inf)

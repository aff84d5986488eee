"""All that is known of one studio, as an immutable snapshot that questions are answered from."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property, lru_cache
from typing import Annotated, Any, Literal, Self

from pydantic import Field

from enamelwright.craft.colour.metal_coupon import MetalCoupon
from enamelwright.craft.description import Described, Length, Mass, Name, Temperature
from enamelwright.craft.health.own_limit import OWNED, OwnLimit
from enamelwright.craft.jar import Jar
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.learned_bow import LearnedBow
from enamelwright.craft.learned_clock import ANY_JAR, LearnedClock
from enamelwright.craft.learned_hand import ANYBODY, LearnedHand
from enamelwright.errors import UnknownName

LotCode = Annotated[str, Field(max_length=40)]


class Hands(Described):
    """How this maker lays powder; measured values replace the defaults."""

    packing: Annotated[float, Field(gt=0.2, lt=0.8)] | None = Field(None, description="solid share of a powder bed")
    sifting_loss: Annotated[float, Field(ge=0, lt=0.9)] | None = None
    balance_step: Annotated[Mass, Field(gt=0)] | None = None
    weighs: bool = True


class HouseRules(Described):
    """Where houses differ, and which way this one goes."""

    bow_limit: Annotated[Length, Field(gt=0)] | None = Field(None, description="bow allowed over 25 mm")
    back_to_front: Annotated[float, Field(gt=0, le=5)] | None = None
    gum_ratio: Annotated[float, Field(gt=0, le=5)] | None = None
    first_side: Literal["front", "back", "both"] | None = None
    pickle: bool | None = None
    hottest: Temperature | None = None


class Bench(Described):
    """One studio: jars, kilns, hands and house rules over the reference tables."""

    name: Name = "reference only"
    jars: Annotated[tuple[Jar, ...], Field(max_length=2000)] = ()
    away: Annotated[tuple[Jar, ...], Field(max_length=2000)] = Field(
        (), description="jars put away: offered nowhere, and known to what they are laid on"
    )
    kilns: tuple[Kiln, ...] = ()
    hands: Hands = Hands()
    house: HouseRules = HouseRules()
    limits: Annotated[tuple[OwnLimit, ...], Field(max_length=len(OWNED))] = ()
    coupons: Annotated[tuple[MetalCoupon, ...], Field(max_length=200)] = ()
    learned_clocks: Annotated[tuple[LearnedClock, ...], Field(max_length=20_000)] = ()
    learned_bows: Annotated[tuple[LearnedBow, ...], Field(max_length=2000)] = ()
    learned_hands: Annotated[tuple[LearnedHand, ...], Field(max_length=20_000)] = ()
    laid_by: Annotated[str, Field(max_length=80)] = Field(
        ANYBODY, description="whose hand coats are planned for; empty for everybody's"
    )
    new_lots: Annotated[tuple[LotCode, ...], Field(max_length=2000)] = Field(
        (), description="codes of jars that are laid from a new lot, of which no firing was timed yet"
    )
    lots_laid: Annotated[dict[LotCode, LotCode], Field(max_length=2000)] = Field(
        {}, description="lots that jars are laid from, where they had more than one: by the code of the jar"
    )

    @classmethod
    @lru_cache(maxsize=1)
    def starter(cls) -> Bench:
        """Return the bench of someone who has told the product nothing: reference tables only."""
        from enamelwright.craft.starter import starter_jars

        return cls(jars=starter_jars())

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Copy the bench without what it has looked up, which would speak of the old one.

        Parameters
        ----------
        update : mapping, optional
            Fields to change.
        deep : bool
            Copy the parts too.
        """
        copy = super().model_copy(update=update, deep=deep)
        for name in ("_by_name", "_clocks", "_by_kiln", "_new", "revision"):
            copy.__dict__.pop(name, None)
        return copy

    def with_jars(self, jars: tuple[Jar, ...]) -> Bench:
        """Return this bench with more jars; a jar of the same id replaces the old one."""
        if not jars:
            return self
        mine = {jar.id for jar in jars}
        return self.model_copy(update={"jars": jars + tuple(jar for jar in self.jars if jar.id not in mine)})

    def by_hand_of(self, who: str) -> Bench:
        """Return this bench with somebody laying whose hand its weighings taught; the same one for any other hand.

        Parameters
        ----------
        who : str
            Label of the person; empty for nobody known.
        """
        name = who.strip().casefold()
        known = next((one.who for one in self.learned_hands if name and one.who.casefold() == name), ANYBODY)
        return self if known == self.laid_by else self.model_copy(update={"laid_by": known})

    @cached_property
    def _by_name(self) -> dict[str, Jar]:
        table: dict[str, Jar] = {}
        for jar in self.jars:
            table.setdefault(jar.name.casefold(), jar)
        for jar in self.jars:
            table[jar.id.casefold()] = jar
        for jar in self.away:
            table.setdefault(jar.id.casefold(), jar)
        return table

    def jar(self, name: str) -> Jar:
        """Find a jar by id or name.

        Raises
        ------
        UnknownName
            With the nearest names.
        """
        found = self.find_jar(name)
        if found is None:
            raise UnknownName.among("jar", name, self._by_name)
        return found

    def find_jar(self, name: str) -> Jar | None:
        """Find a jar by id or name; None when nobody has described it."""
        return self._by_name.get(name.strip().casefold())

    def jar_in(self, name: str, kiln: str = "") -> Jar:
        """Find a jar as this kiln has taught to know it; what is told of the jar itself wins.

        A jar never fired in this kiln is moved by what other jars taught of the kiln, and stays as open as a jar is.

        Parameters
        ----------
        name : str
            Id or name of the jar.
        kiln : str
            Name of the kiln; the first when empty.

        Raises
        ------
        UnknownName
            With the nearest names.
        """
        jar = self.jar(name)
        ours = kiln or (self.kilns[0].name if self.kilns else "")
        if jar.fusing.gloss_clock is not None:
            return jar
        learned, of_jar = self._clocks.get((ours.casefold(), jar.id.casefold())), 0.0
        if learned is None:
            learned = self._clocks.get((ours.casefold(), ANY_JAR))
            if learned is None:
                return jar
            of_jar = _spread_of(jar)
        known = {"gloss_clock": learned.decades, "gloss_clock_sd": math.hypot(learned.sd, of_jar)}
        fusing = jar.fusing.model_copy(update=known)
        return jar.model_copy(update={"fusing": fusing})

    def clocks_of(self, names: Iterable[str], kiln: str = "") -> tuple[LearnedClock, ...]:
        """Return all that firings in a kiln taught of some jars and of their coats.

        A jar never fired there has what the others taught of the kiln, and stays as open as a jar is.

        Parameters
        ----------
        names : iterable of str
            Jars by id or name; one whose clock is told by hand is left out.
        kiln : str
            Name of the kiln; the first when empty.
        """
        ours = kiln or (self.kilns[0].name if self.kilns else "")
        found = self._by_kiln.get(ours.casefold(), ())
        if not found:
            return ()
        jars = [self.jar(name) for name in names]
        mine = {jar.id.casefold(): jar for jar in jars if jar.fusing.gloss_clock is None}
        result = [one for one in found if one.jar.casefold() in mine]
        common = next((one for one in found if one.jar == ANY_JAR), None)
        if common is not None:
            for key in sorted(set(mine) - {one.jar.casefold() for one in result}):
                sd = math.hypot(common.sd, _unfired_sd(mine[key]))
                result.append(common.model_copy(update={"jar": mine[key].id, "sd": sd}))
        return tuple(result)

    def new_lots_of(self, clocks: Iterable[LearnedClock]) -> tuple[str, ...]:
        """Return the jars own firings taught, of which a new lot is laid that no firing was timed of yet.

        Parameters
        ----------
        clocks : iterable of LearnedClock
            Of :meth:`clocks_of`.
        """
        if not self._new:
            return ()
        taught = {(one.kiln, one.jar) for one in self.learned_clocks if one.jar.casefold() in self._new}
        return tuple(sorted({one.jar for one in clocks if (one.kiln, one.jar) in taught}))

    def _as_laid(self, of_kiln: Sequence[LearnedClock]) -> Iterator[LearnedClock]:
        """Yield what a kiln was learned to do with each jar, as far as it goes for the lot that is laid."""
        told_apart: dict[str, set[str]] = {}
        for one in of_kiln:
            told_apart.setdefault(one.jar.casefold(), set()).update({one.lot} - {""})
        laid = {jar.casefold(): lot for jar, lot in self.lots_laid.items()}
        for one in of_kiln:
            jar = one.jar.casefold()
            lots = told_apart[jar]
            lot = laid[jar] if laid.get(jar) in lots else ""
            if one.lot != lot:
                continue
            # Each of two lots lies off its jar; both do for a new one of a jar that is known by a single lot.
            unlike = 0.0 if lot or jar not in self._new else _lot_sd() / (math.sqrt(2) if lots else 1.0)
            yield one.model_copy(update={"sd": math.hypot(one.sd, unlike)}) if unlike else one

    @cached_property
    def _new(self) -> frozenset[str]:
        return frozenset(code.casefold() for code in self.new_lots)

    @cached_property
    def _by_kiln(self) -> dict[str, tuple[LearnedClock, ...]]:
        found: dict[str, list[LearnedClock]] = {}
        for one in self.learned_clocks:
            found.setdefault(one.kiln.casefold(), []).append(one)
        return {kiln: tuple(self._as_laid(mine)) for kiln, mine in found.items()}

    @cached_property
    def _clocks(self) -> dict[tuple[str, str], LearnedClock]:
        every = ((kiln, one) for kiln, mine in self._by_kiln.items() for one in mine)
        return {(kiln, one.jar.casefold()): one for kiln, one in every if not one.coat}

    def kiln(self, name: str = "") -> Kiln | None:
        """Find a kiln by name; the first when no name is given, None when there is none.

        Raises
        ------
        UnknownName
            When a name is given and no kiln has it.
        """
        if not name:
            return self.kilns[0] if self.kilns else None
        for kiln in self.kilns:
            if kiln.name.casefold() == name.casefold():
                return kiln
        raise UnknownName.among("kiln", name, [kiln.name.casefold() for kiln in self.kilns])

    @cached_property
    def revision(self) -> str:
        """Short hash of everything on this bench."""
        return hashlib.blake2b(self.model_dump_json().encode(), digest_size=6).hexdigest()

    def __hash__(self) -> int:
        """Hash by revision, so a bench can key a cache."""
        return hash(self.revision)

    def __eq__(self, other: Any) -> bool:
        """Two benches are equal when their revisions are."""
        return isinstance(other, Bench) and self.revision == other.revision


def _spread_of(jar: Jar) -> float:
    """Return how well the gloss clock of a jar is known that was never fired here [decades]."""
    from enamelwright.craft.window.gloss_spread import spread_of

    return spread_of(jar)


def _lot_sd() -> float:
    """Return how far a new lot may gloss off the last [decades]."""
    from enamelwright.craft.window.gloss_spread import lot_sd

    return lot_sd()


def _unfired_sd(jar: Jar) -> float:
    """Return the same with the grain of its powder."""
    from enamelwright.craft.window.gloss_spread import unfired_sd

    return unfired_sd(jar)

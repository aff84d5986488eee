"""Invented workshops whose kilns and jars are known, to ask whether what is learned is right and how sharp it is.

Their laws are those of :mod:`invented_laws`, with thickness, setting and heating up of their own: nothing of the truth is
taken from the product. What the product foretells comes from its own windows, worked out once for a few pieces.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import exp, log

import numpy as np

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Coat
from enamelwright.craft.jar import FusingFacet, Jar
from enamelwright.craft.piece import Circle, FiringHabits, Piece, Sheet
from enamelwright.learning.interval_score import interval_score
from enamelwright.learning.kiln_clock import KilnClock, Needed
from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.stage_records import Foretold, StageRecord
from enamelwright.questions.plan import answer
from enamelwright.workshop.learned_clocks import spreads
from invented_laws import InventedLaw, Law

#: Heat by which the product takes such a jar, and settings [degrees C].
STATED = 800.0
SETTINGS = (780.0, 795.0, 810.0)
THICKNESSES = {"thin": 0.6e-3, "usual": 0.9e-3, "thick": 1.3e-3}
DAYS, FIRINGS = 150, 70
JARS = 6
#: A firing is given up then [s].
LATEST = 850.0
#: First spread of a jar known by its class [decades], as the product takes it.
JAR_SD = 0.15
SURE = 0.9
Z90 = 1.6449


@lru_cache(maxsize=1)
def foretellings() -> dict[tuple[str, float], Foretold]:
    """What the product foretells for each thickness and setting, without any record."""
    jar = Jar(id="T", name="test white", kind="opaque", fusing=FusingFacet(hardness="medium"))
    bench = Bench.starter().with_jars((jar,))
    found = {}
    for kind, thickness in THICKNESSES.items():
        for celsius in SETTINGS:
            piece = Piece(
                name="disc",
                metal=Sheet(kind="copper", thickness=thickness),
                outline=Circle(shape="circle", diameter=0.03),
                coats=(
                    Coat(face="back", jar="T", powder_depth=0.5e-3),
                    Coat(face="front", jar="T", powder_depth=0.45e-3, set=celsius + 273.15),
                ),
                firing=FiringHabits(),
            )
            window = answer(piece, bench).payload.firings[1].window
            marks = {one.stage: one.clock for one in window.stages}
            found[kind, celsius] = Foretold(
                tuple(pair[0] for pair in window.clock),
                tuple(pair[1] for pair in window.clock),
                (marks["sugar"], min(marks["orange peel"], 0.0), 0.0, marks["over-fired"]),
            )
    return found


@dataclass(frozen=True)
class World:
    """One workshop: what is really so."""

    law: Law
    seed: int

    def firings(self) -> Iterator[tuple[StageRecord, float, Foretold, str, bool]]:
        """Yield records in order with the true time of gloss, what was foretold, the kind, and whether it was timed."""
        rng = np.random.default_rng([self.seed, 7 if self.law == "dose" else 11])
        base = foretellings()
        offset = rng.normal(0, 9)
        rate = rng.normal(0, 0.12)
        step_day, step = rng.integers(40, 120), rng.normal(0, 14)
        declared = rng.random() < 0.6
        law, jars = InventedLaw.drawn(self.law, rng), rng.normal(0, 9, JARS)
        for number in range(FIRINGS):
            day = float(np.floor(DAYS * number / FIRINGS))
            true_offset = offset + rate * day + (step if day >= step_day else 0.0)
            kind = str(rng.choice(list(THICKNESSES)))
            celsius = float(rng.choice(SETTINGS))
            jar = int(rng.integers(JARS))
            foretold = base[kind, celsius]
            drop = float(rng.uniform(60, 75))
            gloss = law.gloss(celsius + true_offset, STATED + jars[jar], 1e3 * THICKNESSES[kind], drop)
            gloss = min(gloss, LATEST) * float(np.exp(rng.normal(0, 0.04)))
            seen = max(15.0, gloss + float(rng.normal(0, 4)))
            pulled = seen + float(rng.uniform(0, 40))
            stage = "gloss"
            early = rng.random() < 0.2
            if early:
                pulled = gloss * float(rng.uniform(0.6, 0.97))
                stage = "orange peel" if rng.random() > 0.05 else "sugar"
            timed = not early and rng.random() < 0.6
            record = StageRecord(
                record=number,
                kiln="small",
                epoch=int(declared and day >= step_day),
                day=day,
                jar=f"J{jar}",
                kind=kind,
                foretold=foretold,
                stage=stage,  # type: ignore[arg-type]
                seconds=pulled,
                to_gloss=seen if timed else None,
            )
            yield record, seen, foretold, kind, timed


@dataclass(frozen=True)
class Scores:
    """How bands of one world did: share that held and mean price, in the logarithm of seconds."""

    held: float
    price: float
    count: int


def unlearned(taken: Spreads) -> Needed:
    """What is known of a jar and a kiln before any record."""
    variances = (taken.kiln**2 + JAR_SD**2 + taken.kind**2, taken.heat**2, taken.law**2, taken.others**2, taken.pace**2)
    return Needed(np.zeros(len(variances)), np.diag(variances))


def score(world: World, begin: int = 12) -> dict[str, Scores]:
    """Foretell each timed firing from those before it: learned, without a record, and as the last good one was."""
    taken: Spreads = spreads()
    jar_sd = {f"J{k}": JAR_SD for k in range(JARS)}
    records: list[StageRecord] = []
    last: dict[tuple[str, str, tuple[float, ...]], float] = {}
    changes: list[float] = []
    found: dict[str, list[tuple[bool, float]]] = {"learned": [], "no record": [], "last good": []}
    known: KilnClock | None = None
    for record, gloss, foretold, kind, timed in world.firings():
        key = (record.jar, kind, foretold.seconds)
        if timed and len(records) >= begin:
            known = kiln_clock(records, jar_sd, taken)
            low, _, high = known.gloss_time(foretold, "small", record.jar, kind, record.day)
            early, _, late = unlearned(taken).seconds(foretold, scatter=taken.repeat, eye=taken.eye)
            bands = {"learned": (low, high), "no record": (early, late)}
            if key in last:
                spread = Z90 * (float(np.std(changes)) if len(changes) > 4 else 0.15)
                bands["last good"] = (last[key] * exp(-spread), last[key] * exp(spread))
            for name, (a, b) in bands.items():
                found[name].append((a <= gloss <= b, interval_score(log(a), log(b), log(gloss), SURE)))
        if timed:
            if key in last:
                changes.append(log(gloss / last[key]))
            last[key] = gloss
        records.append(record)
    return {
        name: Scores(float(np.mean([h for h, _ in rows])), float(np.mean([p for _, p in rows])), len(rows))
        for name, rows in found.items()
        if rows
    }

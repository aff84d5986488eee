"""Invented workshops that keep a record as a maker would: what was foretold is frozen, what came is written down.

Nothing is handed to what learns but the record: jars as their labels describe them, discs as they were weighed, loads with
their setting, the stage at the end and the second of the first gloss. The truth is drawn anew for each workshop and is no
formula of the product: a dose that grows e-fold every 20 to 45 K and by 0.2 to 0.9 with each millimetre of copper, or an
Arrhenius law of 250 to 420 kJ/mol on a disc that warms up, each with a door that cools the chamber, a display that is off,
drifts and is put right one day, jars that lie off their labels, and hands.

How slow such workshops are is taken from print, not from the product: makers fire small copper pieces between one and three
minutes near their stated heat (``trade/published_settings``), so the first gloss at that heat comes after 75 to 190 s in
nine workshops of ten.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from math import pi
from pathlib import Path
from typing import Any

import numpy as np

from enamelwright.craft.jar import Jar
from enamelwright.craft.kiln import Kiln
from enamelwright.learning.interval_score import interval_score
from enamelwright.records.home import Home
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.coverage import Compared, compared
from enamelwright.workshop.faults import see_fault
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kilns import keep_kiln, kiln_event_happened
from enamelwright.workshop.loads import begin_load, close_load
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.relearning import relearn
from enamelwright.workshop.studio import Studio
from invented_laws import InventedLaw, Law

BEGINS = datetime(2025, 9, 1, 9, 0)
FIRINGS, A_DAY, DAYS_APART = 40, 4, 4
JARS, DISC, POWDER = 5, 30.0, 0.45  # mm
THICKNESSES = (0.6, 0.9, 1.3)  # mm
PLACES = ("soft", 755.0), ("medium", 790.0), ("medium", 800.0), ("medium", 785.0), ("hard", 830.0)
COPPER = 8.96e-3  # g/mm3
SURE = 0.9


@dataclass
class Truth:
    """What is really so in one workshop."""

    law: Law
    seed: int
    rng: np.random.Generator = field(init=False)

    def __post_init__(self) -> None:
        """Draw it."""
        rng = self.rng = np.random.default_rng([self.seed, 3 if self.law == "dose" else 5])
        slow = float(np.exp(rng.normal(0, 0.3)))
        self.offset, self.drift = float(rng.normal(0, 8)), float(rng.normal(0, 0.12))
        self.step_at, self.step = int(rng.integers(12, 34)), float(rng.normal(0, 12))
        self.declared = bool(rng.random() < 0.7)
        self.off = rng.normal(0, 9, JARS)
        e_fold, by_metal = float(rng.uniform(20, 45)), float(rng.uniform(0.2, 0.9))  # K; share a millimetre
        energy = float(rng.uniform(250e3, 420e3))  # J/mol
        self.rule = InventedLaw(self.law, slow, e_fold, by_metal, energy)

    def gloss(self, celsius: float, mat: float, thickness: float, drop: float, offset: float) -> float:
        """Return when gloss comes [s]; infinite beyond a quarter of an hour."""
        return self.rule.gloss(celsius + offset, mat, thickness, drop)


def keep(folder: Path, law: Law, seed: int, firings: int = FIRINGS) -> list[Compared]:
    """Write the record of one workshop and return its bands with what came of them."""
    truth = Truth(law, seed)
    studio = Studio.open(Home(folder))
    try:
        _set_up(studio)
        for number in range(firings):
            _fire(studio, truth, number)
            if number % A_DAY == A_DAY - 1:
                relearn(studio.at(_when(number) + timedelta(hours=1)))
        return compared(studio)
    finally:
        studio.close()


def _set_up(studio: Studio) -> None:
    early = studio.at(BEGINS - timedelta(hours=1))
    keep_kiln(early, Kiln(name="small"))
    for k, (hardness, maturity) in enumerate(PLACES):
        told: dict[str, Any] = {"id": f"T{k}", "name": f"invented {k}", "kind": "opaque", "mesh": 80}
        told["fusing"] = {"hardness": hardness} if k == 1 else {"maturity_c": maturity}
        add_jar(early, Jar.from_outside(told))


def _when(number: int) -> datetime:
    day, turn = divmod(number, A_DAY)
    return BEGINS + timedelta(days=DAYS_APART * day, minutes=40 * turn)


def _fire(studio: Studio, truth: Truth, number: int) -> None:
    rng, when = truth.rng, _when(number)
    if number == truth.step_at and truth.declared:
        kiln_event_happened(studio.at(when - timedelta(minutes=20)), "thermocouple moved", kiln="small")
    jar, thickness = int(rng.integers(JARS)), float(rng.choice(THICKNESSES))
    label = PLACES[jar][1]
    celsius = round(label + float(rng.choice((-10.0, 0.0, 10.0))))
    offset = truth.offset + truth.drift * (when - BEGINS).days + (truth.step if number >= truth.step_at else 0.0)
    gloss = truth.gloss(celsius, label + truth.off[jar], thickness, float(rng.uniform(60, 75)), offset)
    gloss *= float(np.exp(rng.normal(0, 0.04)))
    mass = COPPER * thickness * pi * DISC**2 / 4
    here = studio.at(when - timedelta(minutes=15))
    with here.writing():
        piece = start_pieces(
            here, labels=[f"D{number}"], kind="test tile", metal="copper", thickness=f"{thickness} mm",
            metal_mass=f"{mass:.2f} g",
        )[0].id  # fmt: skip
        lay_coat(here, piece, f"T{jar}", face="front", method="sift", powder_depth=f"{POWDER} mm", mesh=80)
    begun = begin_load(
        studio.at(when),
        [piece],
        kiln="small",
        set_point=f"{celsius} C",
        target="gloss",
        face_up="front",
        support="mesh",
    )
    early = rng.random() < 0.15 and np.isfinite(gloss)
    inside = min(gloss * float(rng.uniform(0.75, 0.95) if early else rng.uniform(1.03, 1.3)), 900.0)
    seen = None if early or not np.isfinite(gloss) or gloss > inside else max(10.0, gloss + float(rng.normal(0, 3)))
    stage = "gloss" if seen is not None else "orange peel"
    out = when + timedelta(seconds=inside)
    close_load(
        studio.at(out), begun.load, seconds=f"{inside:.0f} s", stage_seen=stage,
        to_gloss=None if seen is None else f"{seen:.0f} s", closed_at=out,
    )  # fmt: skip


def thousand(folder: Path, firings: int) -> Studio:
    """Return a studio with very many firings; every twelfth piece has a fault, and what was foretold repeats a few cases."""
    truth, studio = Truth("dose", 1), Studio.open(Home(folder))
    _set_up(studio)
    for number in range(firings):
        _fire(studio, truth, number)
        if number % 12 == 7:
            see_fault(studio.at(_when(number) + timedelta(hours=1)), f"D{number}", "bubbles", when_seen="in the kiln")
    return studio


@dataclass(frozen=True)
class Scores:
    """How the bands of some workshops did."""

    bands: int
    held: float
    price: float


def scores(pairs: list[Compared], first: int = 0, last: int | None = None) -> Scores:
    """Score bands of the first gloss of the loads after `first` up to `last`; prices in the logarithm of seconds."""
    numbered = [(int(one.load.rsplit("F", 1)[1]), one) for one in pairs if one.what == "first gloss"]
    mine = [one for number, one in numbered if first < number <= (last or number)]
    ends = [tuple(float(np.log(x)) for x in (one.low, one.high, one.happened)) for one in mine if one.priced]
    prices = [interval_score(low, high, happened, SURE) for low, high, happened in ends]
    return Scores(len(mine), float(np.mean([one.held for one in mine])), float(np.mean(prices)))


def gloss_times(law: Law, seeds: Iterator[int]) -> list[float]:
    """Return the first gloss of the usual disc at the heat its label tells, one a workshop [s]."""
    found = []
    for seed in seeds:
        truth = Truth(law, seed)
        found.append(truth.gloss(790.0, 790.0 + truth.off[1], 0.9, 67.5, truth.offset))
    return found

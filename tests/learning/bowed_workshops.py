"""Invented workshops that fire discs, read how far they bow, and fire strips: bands are frozen, then held against it.

Nothing is handed to what learns but the record: jars by their label, discs and strips as they were weighed, bows as they
were read. The truth is drawn anew for each workshop and is no formula of the product. Its glass is elastic from one
temperature on, without setting gradually; its sheet gives by a deformation theory in one step, cold, with a yield and a
hardening that know no temperature; of what gave in an earlier firing nothing to a quarter stays, as glass that is stiff
while it warms up takes the sheet back along; a disc that bows far follows the one-term law of Ritz and a strip none. Expansions are single numbers: of copper 18.2 ppm/K
from 20 to 480 degrees, as tables of copper have it, of enamels for copper 10.8, each off by what it may be.
Hands lay unevenly, balances show a hundredth of a gram, sheets are not as thick as they are called, a straight edge
reads to some hundredths of a millimetre, and now and then it is read badly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from math import pi
from pathlib import Path

import numpy as np
import numpy.typing as npt

from enamelwright.craft.jar import Jar
from enamelwright.craft.kiln import Kiln
from enamelwright.learning.interval_score import interval_score
from enamelwright.records.home import Home
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.coverage import compared
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.loads import begin_load, close_load
from enamelwright.workshop.measures import take_measure
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.relearning import relearn
from enamelwright.workshop.studio import Studio

Array = npt.NDArray[np.float64]

BEGINS = datetime(2025, 9, 1, 9, 0)
COPPER, ENAMEL = 8.96e3, 2.9e3  # kg/m3
STRIP = (60e-3, 10e-3, 50e-3)  # long, wide, read over [m]
STRIPS = (0.12e-3, 0.40e-3)  # glass of the thin and of the thick one [m]
DESIGNS, PHASES = 4, 2
FIBRES = 40
SURE = 0.9


@dataclass
class Truth:
    """What is really so in one workshop."""

    seed: int
    slips: float = 0.03
    rng: np.random.Generator = field(init=False)

    def __post_init__(self) -> None:
        """Draw it."""
        rng = self.rng = np.random.default_rng([self.seed, 11])
        self.of_strips = np.random.default_rng([self.seed, 13])  # so that the discs are the same ones without them
        self.metal = float(rng.normal(18.2e-6, 0.25e-6))  # 1/K
        self.glass = rng.normal(10.8e-6, 0.4e-6) + rng.normal(0, 0.25e-6, 2)
        self.stiff = rng.normal(480.0, 15.0) + rng.normal(0, 12.0, 2)  # C
        self.moduli = (float(rng.uniform(100e9, 120e9)) / (1 - 0.34), float(rng.uniform(62e9, 76e9)) / (1 - 0.22))
        self.gives = float(np.exp(rng.normal(np.log(42e6), 0.3)))  # Pa
        self.hardens = float(rng.uniform(0.6e9, 2.5e9))
        self.keeps = float(rng.uniform(0, 0.25))
        self.sheet = float(rng.normal(1.0, 0.015))
        self.uneven = float(rng.uniform(0.02, 0.05))
        self.scatter = float(rng.uniform(0.04, 0.20))  # a practised hand, a beginner's
        self.laying = float(np.exp(rng.normal(0, 0.05)))  # glass of this hand, of what it means
        self.dense = rng.normal(1.0, 0.04, 2)

    def bow(self, sheet: float, firings: Sequence[Sequence[tuple[str, int, float]]], disc: float | None) -> list[float]:
        """Return the bow after each firing [m], of a disc so wide or of a strip.

        Parameters
        ----------
        sheet : float
            Thickness of the metal [m].
        firings : sequence
            New glass of each: face, jar, thickness [m].
        disc : float or None
            Diameter [m]; None for a strip.
        """
        kept, there, found = 0.0, list[tuple[str, int, float]](), []
        for fresh in firings:
            there = [*there, *fresh]
            bend, plastic = self._cold(sheet, there)
            whole = kept + bend
            kept = self.keeps * (kept + plastic)
            thickness = sheet + sum(glass for _, _, glass in there)
            found.append(_deflected(whole, thickness, disc))
        return found

    def _cold(self, sheet: float, coats: Sequence[tuple[str, int, float]]) -> tuple[float, float]:
        """Return the curvature of the cold stack and of its sheet without the glass [1/m]."""
        metal, glass = self.moduli
        z = (np.arange(FIBRES) + 0.5) / FIBRES * sheet - sheet / 2
        up, down, layers = sheet / 2, -sheet / 2, []
        for face, jar, thick in coats:
            wider = (self.metal - self.glass[jar]) * (self.stiff[jar] - 20.0)
            low = up if face == "front" else down - thick
            layers.append((low, low + thick, wider))
            up, down = (up + thick, down) if face == "front" else (up, down - thick)
        yields = self.gives / metal

        def pull(strain: Array) -> Array:
            over = np.maximum(np.abs(strain) - yields, 0)
            return np.sign(strain) * (metal * np.minimum(np.abs(strain), yields) + self.hardens * over)

        def out(x: Array) -> Array:
            inside = pull(x[0] + x[1] * z) * sheet / FIBRES
            sums = np.array([inside.sum(), (inside * z).sum()])
            for low, high, wider in layers:
                one, two, three = high - low, (high**2 - low**2) / 2, (high**3 - low**3) / 3
                sums += glass * np.array([(x[0] - wider) * one + x[1] * two, (x[0] - wider) * two + x[1] * three])
            return sums

        from scipy.optimize import root

        scale = np.array([1e-3, 1.0])
        solved = root(
            lambda x: out(x * scale) / np.array([metal * sheet * 1e-3, metal * sheet**3]), np.zeros(2), tol=1e-10
        )
        x = solved.x * scale
        strain = x[0] + x[1] * z
        stays = strain - pull(strain) / metal
        return float(x[1]), float(12 / sheet**3 * (stays * z).sum() * sheet / FIBRES)

    def read(self, bow: float, rng: np.random.Generator) -> float:
        """Return a bow as it is read [m]: to a hundredth of a millimetre, now and then badly."""
        slip = rng.normal(0, 0.25e-3) if rng.random() < self.slips else 0.0
        return round((bow + rng.normal(0, 0.015e-3) + slip) / 1e-5) * 1e-5

    def lays(self, glass: float, area: float, rng: np.random.Generator) -> tuple[float, float]:
        """Return glass as it lies where a thickness is meant [m], and the grams a balance shows."""
        lies = glass * self.laying * max(0.5, float(rng.normal(1, self.scatter)))
        return lies * max(0.6, float(rng.normal(1, self.uneven))), round(lies * area * ENAMEL * 1e3, 2)


def _deflected(curvature: float, thickness: float, disc: float | None) -> float:
    """Return the bow [m]; a disc is stiffened by its own bow: S = K (1 + (1 - nu) K^2), S = k R^2/4h, K = w/2h."""
    if disc is None:
        return curvature * STRIP[2] ** 2 / 8
    wanted = curvature * (disc / 2) ** 2 / (4 * thickness)
    roots = np.roots([1 - 0.33, 0, 1, -wanted])
    return float(2 * thickness * roots[np.abs(roots.imag) < 1e-9].real[0])


@dataclass(frozen=True)
class Design:
    """A disc: across [m], sheet [m], and the coats as powder depth [m] by face and jar; the back is fired first."""

    number: int
    across: float
    sheet: float
    coats: tuple[tuple[str, int, float], ...]

    def toml(self) -> str:
        """Write it as a piece file."""
        coats = "".join(
            f'[[coats]]\nface = "{face}"\njar = "T{jar}"\npowder_depth_mm = {depth * 1e3:.2f}\n'
            for face, jar, depth in self.coats
        )
        return (
            f'name = "disc {self.number}"\n[metal]\nkind = "copper"\nthickness_mm = {self.sheet * 1e3:.2f}\n'
            f'[outline]\nshape = "circle"\ndiameter_mm = {self.across * 1e3:.0f}\n{coats}'
        )


def designs(truth: Truth) -> list[Design]:
    """Draw what this workshop makes: the first with glass on one face, the others on both."""
    found = []
    for number in range(DESIGNS):
        rng = truth.rng
        front = float(rng.uniform(0.3e-3, 0.8e-3))
        coats = [("front", int(rng.integers(2)), front)]
        if number:
            coats.insert(0, ("back", int(rng.integers(2)), front * float(rng.uniform(0.6, 1.2))))
        found.append(
            Design(
                number,
                round(float(rng.uniform(22e-3, 40e-3)), 3),
                float(rng.choice([0.6e-3, 0.8e-3, 1.0e-3])),
                tuple(coats),
            )
        )
    return found


@dataclass(frozen=True)
class Banded:
    """One frozen band of bow with what was read [m].

    Attributes
    ----------
    after : bool
        Whether it was frozen after the time of the strips.
    both : bool
        Whether the disc has glass on both faces.
    low, likely, high, happened : float
        Band and reading.
    """

    after: bool
    both: bool
    low: float
    likely: float
    high: float
    happened: float

    @property
    def held(self) -> bool:
        """Whether it was read inside the band."""
        return self.low <= self.happened <= self.high

    @property
    def price(self) -> float:
        """Interval score [m]."""
        return interval_score(self.low, self.high, self.happened, SURE)


def keep(folder: Path, seed: int, *, strips: bool = True, each: int = 2, slips: float = 0.03) -> list[Banded]:
    """Write the record of one workshop: discs, then strips of each jar, then the like discs again.

    Parameters
    ----------
    folder : Path
        Of the record.
    seed : int
        Of everything.
    strips : bool
        Whether strips are fired between.
    each : int
        Discs of each design before and after.
    slips : float
        Share of bows that are read badly.
    """
    truth = Truth(seed, slips)
    studio = Studio.open(Home(folder))
    try:
        early = studio.at(BEGINS - timedelta(hours=1))
        keep_kiln(early, Kiln(name="small"))
        for k in range(2):
            add_jar(early, Jar.from_outside({"id": f"T{k}", "name": f"invented {k}", "kind": "opaque", "mesh": 80}))
        made = [(one, keep_design(early, _file(folder, one)).version) for one in designs(truth)]
        when, middle, both = BEGINS, BEGINS, dict[str, bool]()
        for phase in range(PHASES):
            for one, version in made:
                for _ in range(each):
                    number, when = _disc(studio, truth, one, version, when)
                    both[number] = len(one.coats) > 1
            if phase == 0:
                middle = when + timedelta(hours=8)
                if strips:
                    _calibrate(studio, truth, when)
                when = middle
        turn = studio.at(middle).now()
        pairs = [one for one in compared(studio) if one.what == "bow"]
        return [
            Banded(one.at >= turn, both[one.piece], one.low, one.likely, one.high, one.happened) for one in pairs
        ]  # fmt: skip
    finally:
        studio.close()


def _calibrate(studio: Studio, truth: Truth, when: datetime) -> None:
    """Fire a thin and a thick strip of each jar, and learn from them."""
    for jar in range(2):
        for glass in STRIPS:
            when = _strip(studio, truth, jar, glass * float(truth.of_strips.uniform(0.85, 1.15)), when)
    relearn(studio.at(when))


def _file(folder: Path, one: Design) -> Path:
    path = folder.parent / f"{folder.name} {one.number}.toml"
    path.write_text(one.toml(), encoding="utf-8")
    return path


def _disc(studio: Studio, truth: Truth, one: Design, version: int, when: datetime) -> tuple[str, datetime]:
    """Lay, fire and measure one disc; its faces are fired one after the other."""
    area = pi * one.across**2 / 4
    here = studio.at(when)
    row = start_pieces(here, design=version, metal="copper", thickness=f"{one.sheet * 1e3} mm",
                         metal_mass=f"{COPPER * area * one.sheet * truth.sheet * 1e3:.2f} g")[0]  # fmt: skip
    piece = row.id
    firings: list[list[tuple[str, int, float]]] = []
    for n, (face, jar, depth) in enumerate(one.coats):
        glass, grams = truth.lays(depth / 2, area, truth.rng)
        lay_coat(
            studio.at(when), piece, f"T{jar}", coat=n + 1, face=face, method="sift", mesh=80, on_piece=f"{grams} g"
        )
        firings.append([(face, jar, glass / truth.dense[jar])])
        when = _fire(studio, piece, when)
    bow = truth.bow(one.sheet * truth.sheet, firings, one.across)[-1]
    take_measure(
        studio.at(when), piece, "bow", f"{truth.read(bow, truth.rng) * 1e3:.2f} mm", over=f"{one.across * 1e3:.0f} mm"
    )
    return row.number, when + timedelta(minutes=20)


def _strip(studio: Studio, truth: Truth, jar: int, glass: float, when: datetime) -> datetime:
    sheet, area = 0.8e-3, STRIP[0] * STRIP[1]
    here = studio.at(when)
    piece = start_pieces(here, kind="strip", metal="copper", thickness="0.8 mm",
                         metal_mass=f"{COPPER * area * sheet * truth.sheet * 1e3:.2f} g")[0].id  # fmt: skip
    lies, grams = truth.lays(glass, area, truth.of_strips)
    lay_coat(here, piece, f"T{jar}", face="front", method="sift", mesh=80, on_piece=f"{grams} g")
    when = _fire(studio, piece, when)
    bow = truth.bow(sheet * truth.sheet, [[("front", jar, lies / truth.dense[jar])]], None)[-1]
    take_measure(
        studio.at(when),
        piece,
        "bow",
        f"{truth.read(bow, truth.of_strips) * 1e3:.2f} mm",
        over=f"{STRIP[2] * 1e3:.0f} mm",
    )
    return when + timedelta(minutes=20)


def _fire(studio: Studio, piece: int, when: datetime) -> datetime:
    goes_in, comes_out = when + timedelta(minutes=10), when + timedelta(minutes=12)
    begun = begin_load(studio.at(goes_in), [piece], kiln="small", set_point="800 C", face_up="front", support="mesh")
    close_load(studio.at(comes_out), begun.load, seconds="120 s", stage_seen="gloss", closed_at=comes_out)
    return comes_out + timedelta(minutes=15)


@dataclass(frozen=True)
class Scores:
    """How bands did."""

    bands: int
    held: float
    price: float
    width: float


def scores(bands: Sequence[Banded]) -> Scores:
    """Score bands; prices and widths in millimetres."""
    return Scores(
        len(bands), float(np.mean([one.held for one in bands])), float(np.mean([one.price for one in bands])) * 1e3,
        float(np.mean([one.high - one.low for one in bands])) * 1e3,
    )  # fmt: skip

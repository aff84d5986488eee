"""What is really so in the invented workshop; everything here is SYNTHETIC and hidden from the product.

Only the generator, which writes records by these laws, and the scorer, which asks how much of them the
records give away, may import this file; an import contract holds that. The laws are plain arithmetic
on purpose: they are no physics, and share no code with what the product computes.

Degrees are Celsius here, because the whole made-up law is written in them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

Stage = Literal["powder", "sugar", "orange peel", "gloss", "cleared", "over-fired"]

# --- the kiln (all SYNTHETIC) ---------------------------------------------------------------------

#: The probe creeps out of the chamber from this day; the display reads low by this much [K] ...
CREEP_FROM, LOW_AT_FIRST = date(2026, 3, 2), 6.0
#: ... and by this much on this day, rising in a straight line between.
CREEP_TO, LOW_AT_LAST = date(2026, 4, 22), 19.0
#: The day the probe is pushed back in, and how low the display reads from then on [K].
RESEATED, LOW_AFTER = date(2026, 4, 23), 4.0
#: How much hotter each place is than the centre [K].
HOTTER: dict[str, float] = {"centre": 0.0, "right rear corner": 11.0}
#: One opening takes the chamber down by an amount drawn evenly between these [K]; the middle for checks.
DROP_LOW, DROP_HIGH, DROP_MIDDLE = 60.0, 75.0, 67.0
#: Time constant of recovery with a light and with a heavy load [s].
RECOVERY_LIGHT, RECOVERY_HEAVY = 75.0, 110.0
#: The chamber counts as recovered within this much of its temperature [K].
RECOVERED_WITHIN = 3.0
#: Out and in again within this long is one opening [s].
ONE_SWAP = 60.0
#: Openings longer ago than this many time constants no longer count.
FORGOTTEN_AFTER = 12.0

# --- heat and stages (all SYNTHETIC) --------------------------------------------------------------

#: Degrees by which the speed of fusing rises by a factor e [K].
FUSING_SCALE = 28.0
#: Seconds of dose one for a light 1 mm copper piece with a thin coat, at the maturity.
NEEDED = 110.0
#: Each step of powder [mm] above this depth [mm] asks for this much longer [s].
DEEP_FROM, DEEP_STEP, DEEP_SECONDS = 0.5, 0.25, 12.0
#: Share by which a millimetre of metal more or less than one changes the seconds needed.
METAL_SLOPE = 0.58
#: What other metals need, of what copper does.
METAL_FACTOR: dict[str, float] = {"copper": 1.0, "fine silver": 0.886}
#: What a heavy trivet adds, as a factor.
HEAVY_FACTOR = 1.15
#: Where each stage begins.
BEGINS: tuple[tuple[float, Stage], ...] = (
    (2.4, "over-fired"),
    (1.5, "cleared"),
    (1.0, "gloss"),
    (0.60, "orange peel"),
    (0.25, "sugar"),
)
GLOSS_AT, REFLOW_AT = 1.0, 0.60
#: Wires stand in the glass from the first of these, and sink from the second.
WIRES_EMBED, WIRES_SINK = 0.55, 0.85
#: A gold-bearing transparent is cloudy below this dose.
GOLD_CLEAR_AT = 1.1
#: Silver flux yellows above this true temperature [C].
FLUX_YELLOWS_ABOVE = 790.0
#: The strong red: colour dose is the largest firing and this share of all others ...
RED_MEMORY = 0.15
#: ... red from, brown from, black from; and black from this on bare copper.
RED_FROM, RED_BROWN, RED_BLACK, RED_BLACK_ON_COPPER = 0.95, 1.35, 1.9, 1.15

# --- bow, cracks, hands, jars (all SYNTHETIC) -----------------------------------------------------

#: Bow in mm for each g/cm2 of front over back, times (size / thickness) squared. An elastic strip of two metals
#: (S. Timoshenko, J. Opt. Soc. Am. 11 (1925) 233) bows as much, 0.18 mm for a stud with no back; yield takes some off.
BOW_COEFFICIENT = 0.0026
#: A dome this many metal thicknesses high multiplies the bow by this, a lower one by less, falling with its square.
DOME_FROM, DOME_FACTOR = 10.0, 0.1
#: Terms of the crack score: start, bow in mm for one, fast cooling, lead under lead-free, damp.
CRACK_START, CRACK_BOW, CRACK_FAST, CRACK_LEAD, CRACK_DAMP = -3.5, 0.10, 1.2, 0.9, 0.7
#: Share of the sifted powder that misses: on the first day, and from the second day on.
LOSS_FROM, LOSS_FIRST, LOSS_TO, LOSS_LAST = date(2026, 3, 2), 0.18, date(2026, 4, 1), 0.11
#: Standard deviation of what is laid, as a share of what was meant.
HAND_SPREAD = 0.06
#: Jars full of fines, and the powder depth in mm above which they give bubbles.
FINES, FINES_BUBBLE_ABOVE = frozenset({"J05", "J08"}), 0.8
#: The rose takes up damp on this day and loses this share of its clarity.
ROSE, DAMP_FROM, DAMP_LOSS = "J17", date(2026, 4, 5), 0.20
#: Share of stages that are read as a neighbour, and how far seconds to gloss are read wrong at most [s].
MISREAD, GLOSS_MISREAD = 0.05, 4.0
#: Length of one step of the sums [s].
STEP = 0.25

# --- colours of tiles (all SYNTHETIC) -------------------------------------------------------------

#: Red, green and blue, as shares of the light that falls on it.
Light = tuple[float, float, float]
#: What each ground sends back through clear glass.
GROUNDS: dict[str, Light] = {
    "bare": (0.74, 0.37, 0.28),
    "flux J01": (0.72, 0.36, 0.27),
    "white J04": (0.75, 0.69, 0.66),
    "silver foil, flux J02": (0.88, 0.86, 0.80),
}
#: Powers of e by which a millimetre of each clear jar dims that.
CLEAR: dict[str, Light] = {
    "J01": (0.3, 0.4, 0.7),
    "J14": (7.0, 3.3, 0.3),
    "J15": (14.0, 6.5, 12.5),
    "J16": (1.2, 3.6, 14.0),
    "J17": (0.8, 4.4, 2.6),
}
#: Body of each hiding jar, and the depth in which the ground shows through it a factor e less [mm].
HIDING: dict[str, tuple[Light, float]] = {
    "J04": ((0.84, 0.81, 0.77), 0.09),
    "J09": ((0.085, 0.15, 0.23), 0.05),
    "J10": ((0.10, 0.27, 0.19), 0.06),
    "J12": ((0.36, 0.045, 0.045), 0.04),
}
#: What bare copper makes of the strong red.
BLACKENED: Light = (0.013, 0.010, 0.010)
#: What the shine of the glass adds, in a white tent.
SHINE = 0.042
#: Standard deviations: of one number of a reading, and of a depth as a share of it.
READ_SPREAD, DEPTH_SPREAD = 0.7, 0.08
#: X, Y and Z of red, green and blue light of a screen, each over that of its white (IEC 61966-2-1).
TO_WHITE = ((0.4340, 0.3762, 0.1898), (0.2126, 0.7152, 0.0722), (0.0178, 0.1095, 0.8727))


@dataclass(frozen=True)
class Opening:
    """The door was open once.

    Parameters
    ----------
    at : float
        Seconds from the moment the load judged goes in; earlier ones are negative.
    drop : float
        What it took the chamber down by [K].
    heavy : bool
        Whether a heavy trivet stands in the kiln after it.
    """

    at: float
    drop: float = DROP_MIDDLE
    heavy: bool = False

    def cold(self, t: float) -> float:
        """Kelvin still missing at a time [s]."""
        if t < self.at:
            return 0.0
        return self.drop * math.exp((self.at - t) / (RECOVERY_HEAVY if self.heavy else RECOVERY_LIGHT))

    @property
    def counts(self) -> bool:
        """Whether anything is left of it when the load goes in."""
        return self.at > -FORGOTTEN_AFTER * RECOVERY_HEAVY


@dataclass(frozen=True)
class Body:
    """What is heated.

    Parameters
    ----------
    metal : str
        ``copper`` or ``fine silver``.
    thickness : float
        Of the metal [mm].
    powder : float
        Depth of the powder judged [mm].
    heavy : bool
        Whether it stands on a heavy trivet.
    """

    metal: str
    thickness: float
    powder: float = 0.0
    heavy: bool = False

    @property
    def needed(self) -> float:
        """Seconds of dose one at the maturity."""
        metal = METAL_FACTOR[self.metal] * (1.0 + METAL_SLOPE * (self.thickness - 1.0))
        deep = DEEP_SECONDS * max(0.0, self.powder - DEEP_FROM) / DEEP_STEP
        return NEEDED * metal * (HEAVY_FACTOR if self.heavy else 1.0) + deep


@dataclass(frozen=True)
class Heat:
    """What one firing did to one layer.

    Parameters
    ----------
    dose : float
        One is gloss.
    to_gloss : float or None
        Seconds, counted as the maker counts them, until the first gloss; None when it was not reached.
    hottest : float
        Highest true temperature [C].
    """

    dose: float
    to_gloss: float | None
    hottest: float

    @property
    def stage(self) -> Stage:
        """What a perfect eye sees."""
        return stage_at(self.dose)


def reads_low(day: date) -> float:
    """Kelvin by which the chamber is hotter than its display on a day."""
    if day >= RESEATED:
        return LOW_AFTER
    part = (day - CREEP_FROM).days / (CREEP_TO - CREEP_FROM).days
    return LOW_AT_FIRST + (LOW_AT_LAST - LOW_AT_FIRST) * min(1.0, max(0.0, part))


def true_temperature(shown: float, day: date, t: float, openings: Sequence[Opening], where: str = "centre") -> float:
    """True temperature [C] of a place, `t` seconds after the load went in, with the display set to `shown`."""
    return shown + reads_low(day) + HOTTER[where] - sum(one.cold(t) for one in openings)


def recovered_after(openings: Sequence[Opening]) -> float:
    """Seconds after loading until the chamber is back within a few degrees."""
    t = 0.0
    while sum(one.cold(t) for one in openings) > RECOVERED_WITHIN:
        t += STEP
    return t


def fire(
    shown: float,
    day: date,
    seconds: float,
    maturity: float,
    body: Body,
    openings: Sequence[Opening] = (Opening(0.0),),
    where: str = "centre",
    from_recovered: bool = False,
) -> Heat:
    """Return what one firing does to one layer.

    Parameters
    ----------
    shown : float
        Set point [C].
    day : date
        Decides how wrong the display is.
    seconds : float
        As the maker timed it.
    maturity : float
        Of the layer judged [C].
    body : Body
        What is heated.
    openings : sequence of Opening
        The door, the one of this load included.
    where : str
        Place in the chamber.
    from_recovered : bool
        Whether the seconds began when the display had come back.
    """
    near = [one for one in openings if one.counts]
    waited = recovered_after(near) if from_recovered else 0.0
    steps = round((waited + seconds) / STEP)
    dose, to_gloss, hottest = 0.0, None, -math.inf
    for step in range(steps):
        t = (step + 0.5) * STEP
        now = true_temperature(shown, day, t, near, where)
        dose += math.exp((now - maturity) / FUSING_SCALE) * STEP / body.needed
        hottest = max(hottest, now)
        if to_gloss is None and dose >= GLOSS_AT:
            to_gloss = t + 0.5 * STEP - waited
    return Heat(dose, to_gloss, hottest)


def stage_at(dose: float, *, reflow: bool = False) -> Stage:
    """Return the stage of a dose; glass already fused flows again sooner."""
    if reflow and REFLOW_AT <= dose < GLOSS_AT:
        return "gloss"
    return next((stage for begins, stage in BEGINS if dose >= begins), "powder")


def wires(dose: float) -> str:
    """What the wires did."""
    return "sunk" if dose >= WIRES_SINK else "embedded" if dose >= WIRES_EMBED else "loose"


def flux_on_silver(heat: Heat) -> str:
    """Colour of the silver flux."""
    return "yellow" if heat.hottest > FLUX_YELLOWS_ABOVE else "clear" if heat.dose >= GLOSS_AT else "not yet clear"


def rose_clarity(dose: float, day: date) -> float:
    """Clarity of the gold-bearing rose: nought when cloudy, one at its best."""
    if dose < GOLD_CLEAR_AT:
        return 0.0
    return 1.0 - (DAMP_LOSS if day >= DAMP_FROM else 0.0)


def colour_dose(doses: Sequence[float]) -> float:
    """What the strong red remembers of all its firings."""
    return max(doses) + RED_MEMORY * (sum(doses) - max(doses))


def red(dose: float, *, on_bare_copper: bool = False) -> str:
    """Colour of the strong red at a colour dose."""
    if dose >= (RED_BLACK_ON_COPPER if on_bare_copper else RED_BLACK):
        return "black"
    return "brown" if dose >= RED_BROWN else "red" if dose >= RED_FROM else "dull"


def bow(front: float, back: float, size: float, thickness: float, dome: float = 0.0) -> float:
    """Bow [mm], positive when the front is convex.

    Parameters
    ----------
    front, back : float
        Fired glass [g/cm2].
    size : float
        Square root of length times width [mm].
    thickness : float
        Of the metal [mm].
    dome : float
        Height of the dome [mm].
    """
    flat = BOW_COEFFICIENT * (front - back) * (size / thickness) ** 2
    stiffer = (1.0 / DOME_FACTOR - 1.0) * (dome / (DOME_FROM * thickness)) ** 2
    return flat * max(DOME_FACTOR, 1.0 / (1.0 + stiffer))


def crack_chance(bow_mm: float, *, fast: bool = False, lead_below: bool = False, damp: bool = False) -> float:
    """Return the chance that a piece cracks, seen hours to days later."""
    z = CRACK_START + abs(bow_mm) / CRACK_BOW
    z += CRACK_FAST * fast + CRACK_LEAD * lead_below + CRACK_DAMP * damp
    return 1.0 / (1.0 + math.exp(-z))


def sifting_loss(day: date) -> float:
    """Share of the sifted powder that misses the piece on a day."""
    part = (day - LOSS_FROM).days / (LOSS_TO - LOSS_FROM).days
    return LOSS_FIRST + (LOSS_LAST - LOSS_FIRST) * min(1.0, max(0.0, part))


def bubbles(jar: str, powder: float) -> bool:
    """Whether a jar full of fines was laid too deep [mm]."""
    return jar in FINES and powder > FINES_BUBBLE_ABOVE


def tile_light(jar: str, ground: str, depth: float) -> Light:
    """Return the red, green and blue a fired spot sends back, without the shine of its glass.

    Parameters
    ----------
    jar : str
        On top.
    ground : str
        One of :data:`GROUNDS`.
    depth : float
        Of the fired glass [mm].
    """
    below = GROUNDS[ground]
    if jar in CLEAR:
        red, green, blue = (share * math.exp(-dims * depth) for share, dims in zip(below, CLEAR[jar], strict=True))
        return red, green, blue
    if (jar, ground) == ("J12", "bare"):
        return BLACKENED
    body, fades = HIDING[jar]
    through = math.exp(-depth / fades)
    red, green, blue = (own + (share - own) * through for own, share in zip(body, below, strict=True))
    return red, green, blue


def tile_colour(jar: str, ground: str, depth: float) -> tuple[float, float, float]:
    """Return the L*, a*, b* a perfect instrument reads off a fired spot in a white tent.

    Parameters
    ----------
    jar, ground, depth : str, str and float
        As :func:`tile_light` takes them.
    """
    light = [share + SHINE for share in tile_light(jar, ground, depth)]
    x, y, z = (math.cbrt(sum(part * share for part, share in zip(row, light, strict=True))) for row in TO_WHITE)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)

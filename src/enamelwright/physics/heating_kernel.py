"""The compiled loop of the heating of a piece: Runge-Kutta steps of every member of a batch.

It calls no kernel of another file, releases the interpreter lock and spreads over no threads itself.
Imported only when a piece is heated, because the compiler takes a second to load.
"""

from __future__ import annotations

from math import exp, log10, sqrt
from typing import TYPE_CHECKING

import numpy as np
from numba import njit

from enamelwright.physics.constants import STEFAN_BOLTZMANN

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]
    Whole = npt.NDArray[np.int64]

SIGMA = STEFAN_BOLTZMANN
COLDEST = 250.0
"""First temperature of the property tables [K]; colder reads as this."""
SPACING = 2.0
"""Step of the property tables [K]; the hump of steel is some tens of kelvin wide."""
POINTS = 801
"""Rows of the property tables, up to 1850 K, above any kiln for this work ..."""
LAST_ROW = POINTS - 1.000001
"""... and how far along them a place may lie, so that a row follows."""
COLUMNS = (
    "area", "edge_area", "length", "sheet", "glass_top", "glass_bottom",
    "top_emissivity", "top_dark", "top_mouth", "bottom_emissivity", "bottom_dark", "bottom_mouth",
    "support_mass", "support_area", "support_emissivity", "view", "transfer", "film", "support_film",
    "rate", "activation", "inverse_reference", "depth", "faces", "floor",
    "melt_top", "melt_bottom", "loose_top", "loose_bottom", "work_scale",
)  # fmt: skip
"""What the kernel reads of every member, in this order ..."""
(
    AREA, EDGE, LENGTH, SHEET, GLASS_TOP, GLASS_BOTTOM,
    BRIGHT_TOP, DARK_TOP, MOUTH_TOP, BRIGHT_BOTTOM, DARK_BOTTOM, MOUTH_BOTTOM,
    SUPPORT_MASS, SUPPORT_AREA, SUPPORT_EMISSIVITY, VIEW, TRANSFER, FILM, SUPPORT_FILM,
    RATE, ACTIVATION, INVERSE_REFERENCE, DEPTH, FACES, FLOOR,
    MELT_TOP, MELT_BOTTOM, LOOSE_TOP, LOOSE_BOTTOM, WORK_SCALE,
) = range(30)  # fmt: skip
"""... and the number of each."""
LN10 = 2.302585092994046
THINNEST = -6.0
"""log10 of the least viscosity followed [Pa s]: fluidity is capped at 10^6."""
NEAREST_POLE = 25.0
"""Kelvin kept above the pole of a viscosity law."""
FIRST_DECADE = -6.0
"""log10 of the reduced fusion work (tension x work / radius) of the first row of a sintering table."""
ROWS_A_DECADE = 20
"""Rows of that table a decade ..."""
DECADES = 7
"""... and its reach; full density lies at about 10^0.3."""
HUMP_PARTS = 16
"""Steps within a narrow hump of the heat capacity are cut this much finer, to a few kelvin each."""
FROZEN = 25.0
"""log10 of the viscosity [Pa s] from which a glass counts as rigid."""


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz"})
def look_up(table: Array, kelvin: float) -> float:
    """One property at a temperature: linear between rows, ends held."""
    place = (kelvin - COLDEST) / SPACING
    if place <= 0.0:
        return float(table[0])
    if place >= POINTS - 1:
        return float(table[POINTS - 1])
    row = int(place)
    return float(table[row] + (place - row) * (table[row + 1] - table[row]))


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz"})
def fluidity(prefactor: float, slope: float, pole: float, kelvin: float) -> float:
    """1 / viscosity [1/Pa/s] of one melt."""
    logarithm = prefactor + slope / max(kelvin - pole, NEAREST_POLE)
    return exp(-LN10 * min(max(logarithm, THINNEST), FROZEN))


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz"})
def through_mouth(emissivity: float, share: float) -> float:
    """Emissivity of a hollow face, per area of the face, seen through its mouth."""
    if share == 1.0:
        return emissivity
    return 1.0 / ((1.0 - emissivity) / emissivity + 1.0 / share)


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz"})
def films(p: Array, piece: float, air: float, film_k: Array, film_b: Array) -> float:
    """Film of air on the mean of both faces [W/m2/K]."""
    if p[FILM] > 0.0:
        return float(p[FILM])
    place = min(max(((piece + air) / 2.0 - COLDEST) / SPACING, 0.0), LAST_ROW)
    row = int(place)
    part = place - row
    buoyancy = film_b[row] + part * (film_b[row + 1] - film_b[row])
    conduction = film_k[row] + part * (film_k[row + 1] - film_k[row])
    # It grows with the fourth root of the difference.
    root = sqrt(sqrt(buoyancy * abs(air - piece) * p[LENGTH] ** 3))
    return float(conduction / p[LENGTH] * (p[FACES] / 2.0 * root + p[FLOOR]))


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz"})
def growth(p: Array, piece: float) -> float:
    """Rate of the oxide squared [m2/s]."""
    if p[RATE] <= 0.0:
        return 0.0
    return float(2.0 * p[RATE] * exp(-p[ACTIVATION] * (1.0 / piece - p[INVERSE_REFERENCE])))


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz"})
def rates(
    piece: float, support: float, eff: float, air: float, p: Array, metal: Array, glass: Array, carrier: Array,
    top: float, bottom: float, rim: float, film: float,
    r_top: float, r_bottom: float, steep_top: float, steep_bottom: float, share_top: float, share_bottom: float,
) -> tuple[float, float, float, float]:  # fmt: skip
    """Rates of change of piece and support [K/s]; drop across the glass of either face [K].

    Emissivities, film and what the glass holds back are those of the middle of the step.
    """
    chamber, own = SIGMA * eff**4, SIGMA * piece**4
    seen = 0.0
    support_rate = 0.0
    if p[SUPPORT_MASS] > 0.0:
        # What the lower face sees of the support stands above the chamber by this much.
        above = p[SUPPORT_EMISSIVITY] * (SIGMA * support**4 - chamber)
        seen = p[VIEW] * above
        gain = p[SUPPORT_AREA] * (p[SUPPORT_FILM] * (air - support) - p[TRANSFER] * above) - p[AREA] * bottom * seen
        support_rate = gain / (p[SUPPORT_MASS] * look_up(carrier, support))
    place = min(max((piece - COLDEST) / SPACING, 0.0), LAST_ROW)
    row = int(place)
    part = place - row
    glass_heat = glass[row] + part * (glass[row + 1] - glass[row])
    capacity = p[SHEET] * (metal[row] + part * (metal[row + 1] - metal[row]))
    capacity += (p[GLASS_TOP] + p[GLASS_BOTTOM]) * glass_heat
    # Flux of each face at the common temperature, then held back by the glass it has to cross.
    upper = top * (chamber - own) + film * (air - piece)
    lower = bottom * (chamber + seen - own) + film * (air - piece)
    edge = rim * (chamber - own)
    first = (upper * share_top + lower * share_bottom + edge) / capacity
    if r_top + r_bottom <= 0.0:
        return first, support_rate, 0.0, 0.0
    # What the glass itself keeps does not cross all of it: half of it on the mean.
    drop_top = r_top * share_top * (upper - p[GLASS_TOP] * glass_heat * first / 2.0)
    drop_bottom = r_bottom * share_bottom * (lower - p[GLASS_BOTTOM] * glass_heat * first / 2.0)
    heat = upper - steep_top * drop_top + lower - steep_bottom * drop_bottom + edge
    return heat / capacity, support_rate, drop_top, drop_bottom


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz"})
def strayed(base: float, scale: float, lift: float, away: float) -> float:
    """Chamber that strays so far from its set point; what lies above has a factor of its own."""
    return base + (scale if away < 0.0 else lift) * away


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz"})
def between(first: float, middle: float, last: float, share: float) -> float:
    """Chamber at a share of a step, linear between its start, middle and end."""
    if share <= 0.5:
        return first + 2.0 * share * (middle - first)
    return middle + (2.0 * share - 1.0) * (last - middle)


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz"})
def hold_back(table: Array, done: float) -> float:
    """Resistance of sintering powder per areal mass, by its reduced fusion work."""
    if done <= 0.0:
        return float(table[0])
    place = (log10(done) - FIRST_DECADE) * ROWS_A_DECADE
    if place <= 0.0:
        return float(table[0])
    if place >= len(table) - 1:
        return float(table[-1])
    row = int(place)
    return float(table[row] + (place - row) * (table[row + 1] - table[row]))


@njit(nogil=True, cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz"})
def march(
    p: Array, kinds: Whole, base: Array, scale: Array, lift: Array, radiant: Array, air: Array, step: float,
    metals: Array, glasses: Array, carriers: Array, film_k: Array, film_b: Array, resistance: Array,
    humps: Array, prefactor: Array, slope: Array, pole: Array,
    rest: int, still: float, piece: Array, support: Array, square: Array, clocks: Array, speed: Array,
) -> None:  # fmt: skip
    """Carry every member over all steps of the block.

    ``p`` (members, columns) and ``kinds`` (members, 6: metal, support, response, coat of the powder above, coat of
    the powder below, parts a step is cut into) hold the members; ``radiant`` and ``air`` (responses, 2 steps
    + 1) the chamber at every half step; ``scale`` and ``lift`` factors on it below and above the set point;
    ``humps`` (metals, 2) where a heat capacity has a narrow hump;
    ``piece``, ``support``, ``square`` (members, steps + 1) and ``clocks`` (members, coats, steps + 1) hold the
    start in their first column and receive the rest; ``speed`` (members, 2) the last rates of change, in and
    out. From the step ``rest`` on the chambers stand still, and so does a member that changes by less than
    ``still`` [K/s].
    """
    members, nodes = piece.shape
    coats = clocks.shape[1]
    flow = np.empty(coats)
    for m in range(members):
        q = p[m]
        metal, glass, carrier = metals[kinds[m, 0]], glasses[0], carriers[kinds[m, 1]]
        eff_row, air_row = radiant[kinds[m, 2]], air[kinds[m, 2]]
        up, down = kinds[m, 3], kinds[m, 4]
        low, high = humps[kinds[m, 0], 0], humps[kinds[m, 0], 1]
        t, s, x = piece[m, 0], support[m, 0], square[m, 0]
        b, d, over = base[m], scale[m], lift[m]
        growing, slope_before, t4, s4 = growth(q, t), speed[m, 0], 0.0, 0.0
        for c in range(coats):
            flow[c] = fluidity(prefactor[m, c], slope[m, c], pole[m, c], t)
        for i in range(nodes - 1):
            e0, e1 = strayed(b, d, over, eff_row[2 * i]), strayed(b, d, over, eff_row[2 * i + 1])
            e2 = strayed(b, d, over, eff_row[2 * i + 2])
            a0, a1 = strayed(b, d, over, air_row[2 * i]), strayed(b, d, over, air_row[2 * i + 1])
            a2 = strayed(b, d, over, air_row[2 * i + 2])
            for c in range(coats):
                clocks[m, c, i + 1] = clocks[m, c, i]
            parts = kinds[m, 5]
            if low <= t <= high:
                parts *= HUMP_PARTS
            h = step / parts
            frozen = False
            for part in range(parts):
                begin, middle, close = part / parts, (part + 0.5) / parts, (part + 1) / parts
                u, v, w = between(e0, e1, e2, begin), between(e0, e1, e2, middle), between(e0, e1, e2, close)
                j, k, n = between(a0, a1, a2, begin), between(a0, a1, a2, middle), between(a0, a1, a2, close)
                r_top, r_bottom = q[MELT_TOP], q[MELT_BOTTOM]
                if q[LOOSE_TOP] > 0.0:
                    work = clocks[m, up, i + 1] + flow[up] * h / 2
                    r_top += q[LOOSE_TOP] * hold_back(resistance, work / q[WORK_SCALE])
                if q[LOOSE_BOTTOM] > 0.0:
                    work = clocks[m, down, i + 1] + flow[down] * h / 2
                    r_bottom += q[LOOSE_BOTTOM] * hold_back(resistance, work / q[WORK_SCALE])
                # What changes slowly, at the expected middle of the step.
                amid = t + h / 2 * slope_before
                upper, lower = q[BRIGHT_TOP], q[BRIGHT_BOTTOM]
                if upper != q[DARK_TOP] or lower != q[DARK_BOTTOM]:
                    bright = exp(-sqrt(x + h / 4 * (growing + growth(q, amid))) / q[DEPTH])
                    upper = q[DARK_TOP] - (q[DARK_TOP] - upper) * bright
                    lower = q[DARK_BOTTOM] - (q[DARK_BOTTOM] - lower) * bright
                top = q[TRANSFER] * through_mouth(upper, q[MOUTH_TOP])
                bottom = q[TRANSFER] * through_mouth(lower, q[MOUTH_BOTTOM])
                rim = q[EDGE] / q[AREA] * q[TRANSFER] * lower
                film = films(q, amid, k, film_k, film_b)
                black = 4.0 * SIGMA * amid**3
                steep_top, steep_bottom = top * black + film, bottom * black + film
                share_top, share_bottom = 1.0 / (1.0 + steep_top * r_top), 1.0 / (1.0 + steep_bottom * r_bottom)
                t1, s1, _, _ = rates(
                    t, s, u, j, q, metal, glass, carrier, top, bottom, rim, film,
                    r_top, r_bottom, steep_top, steep_bottom, share_top, share_bottom,
                )  # fmt: skip
                if i >= rest and abs(t1) < still and abs(s1) < still:
                    frozen, t4, s4 = True, t1, s1
                    break
                t2, s2, _, _ = rates(
                    t + h / 2 * t1, s + h / 2 * s1, v, k, q, metal, glass, carrier, top, bottom, rim, film,
                    r_top, r_bottom, steep_top, steep_bottom, share_top, share_bottom,
                )  # fmt: skip
                t3, s3, o3, l3 = rates(
                    t + h / 2 * t2, s + h / 2 * s2, v, k, q, metal, glass, carrier, top, bottom, rim, film,
                    r_top, r_bottom, steep_top, steep_bottom, share_top, share_bottom,
                )  # fmt: skip
                t4, s4, o4, l4 = rates(
                    t + h * t3, s + h * s3, w, n, q, metal, glass, carrier, top, bottom, rim, film,
                    r_top, r_bottom, steep_top, steep_bottom, share_top, share_bottom,
                )  # fmt: skip
                ahead = t + h / 6 * (t1 + 2 * t2 + 2 * t3 + t4)
                s += h / 6 * (s1 + 2 * s2 + 2 * s3 + s4)
                # Midpoint of the cubic through both ends, its end slope taken from the last stage.
                half = (t + ahead) / 2 + h / 8 * (t1 - t4)
                growing_later = growth(q, ahead)
                x += h / 6 * (growing + 4.0 * growth(q, half) + growing_later)
                growing, slope_before = growing_later, t4
                for c in range(coats):
                    f, g, z = prefactor[m, c], slope[m, c], pole[m, c]
                    # Powder on its way to melting is told by its middle, half its drop above the metal.
                    y2, y3 = 0.0, 0.0
                    if c == up and q[LOOSE_TOP] > 0.0:
                        y2, y3 = o3 / 2, o4 / 2
                    elif c == down and q[LOOSE_BOTTOM] > 0.0:
                        y2, y3 = l3 / 2, l4 / 2
                    later = fluidity(f, g, z, ahead + y3)
                    clocks[m, c, i + 1] += h / 6 * (flow[c] + 4.0 * fluidity(f, g, z, half + y2) + later)
                    flow[c] = later
                t = ahead
            if frozen:
                # Nothing changes any more: clocks and oxide run evenly to the end of the block.
                for later_node in range(i + 1, nodes):
                    gone = (later_node - i) * step
                    piece[m, later_node], support[m, later_node] = t, s
                    square[m, later_node] = square[m, i] + gone * growing
                    for c in range(coats):
                        clocks[m, c, later_node] = clocks[m, c, i] + gone * flow[c]
                x = square[m, nodes - 1]
                break
            piece[m, i + 1], support[m, i + 1], square[m, i + 1] = t, s, x
        speed[m, 0], speed[m, 1] = t4, s4

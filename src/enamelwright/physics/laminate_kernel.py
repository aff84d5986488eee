"""The compiled loops of the stress solvers; one of the two files that know numba.

``march`` carries a batch of stacks through a schedule; ``relax_structure`` tabulates a glass.  Both
release the interpreter lock, and neither spreads over threads itself: callers may run chunks of a
batch side by side.  Imported only when a solver runs, because numba takes a second to load;
compiled once and kept on disk (``python -m enamelwright.physics`` does it ahead of time).

Heights are measured from the middle of the metal.  A coat has two Gauss points, which is exact: its
stress is linear in z.  The metal has two in each of its equal sublayers.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numba import njit

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]
    Whole = npt.NDArray[np.int64]
    Flags = npt.NDArray[np.bool_]

NEWTON_LIMIT = 60
"""Newton steps allowed in one time step; one or two are usual."""
BISECTIONS = 12
"""Halvings of one line search."""
ACCEPT_SLOPE = 0.5
"""Accept a step whose end slope is at most this share of the start slope, uphill ..."""
REFUSE_SLOPE = -0.7
"""... and stop bisecting when it is no further downhill than this."""
LARGEST_RATIO = 4.0
"""A predictor scaled by more than this from the previous step is not trusted."""
FICTIVE_MARGIN = 60.0
"""Kelvin above the pole below which the equilibrium viscosity of a structure is not followed."""
LN_VISCOSITY_CAP = 57.564627324851145
"""ln of 1e25 Pa s: frozen."""
LARGEST_EXPONENT = 700.0
SMALLEST_EXPONENT = 1e-12
LN10 = 2.302585092994046
BIAXIAL = 6.0
"""tau = 6 eta / B."""
GAUSS = 0.5773502691896257
"""Gauss point of the two-point rule on (-1, 1)."""


@njit(nogil=True, cache=True)
def relax_structure(
    time: Array,
    temperature: Array,
    log_prefactor: float,
    slope: float,
    pole: float,
    frozen_slope: float,
    structural_modulus: float,
    modulus: float,
    expansion_glass: float,
    expansion_liquid: float,
    ratios: Array,
    weights: Array,
    largest_step: float,
    free_strain: Array,
    keep: Array,
    stiffness: Array,
    fictive: Array,
) -> None:
    """Fill the four tables of one glass along one schedule (see ``structural_relaxation``).

    Every step is cut into substeps of at most ``largest_step`` kelvin, straight in time, and these
    are folded into one linear law for the step: with the strain of the step spread in proportion
    to temperature, stress after = keep * stress before + stiffness * (strain - free strain).
    """
    terms = ratios.size
    part = np.full(terms, temperature[0])
    now = temperature[0]
    fictive[0] = now
    for step in range(time.size - 1):
        change = temperature[step + 1] - temperature[step]
        pieces = max(1, int(np.ceil(abs(change) / largest_step)))
        share = 1.0 / pieces
        dt = (time[step + 1] - time[step]) * share
        kept = 1.0
        stiff = 0.0
        frozen_in = 0.0
        for piece in range(pieces):
            old = temperature[step] + change * share * piece
            new = old + change * share
            mid = 0.5 * (old + new)
            structure = max(now, pole + FICTIVE_MARGIN)
            ln_eta = LN10 * (log_prefactor + slope / (structure - pole))
            ln_eta += frozen_slope * (1.0 / mid - 1.0 / structure)
            eta = np.exp(min(ln_eta, LN_VISCOSITY_CAP))
            structural_time = eta / structural_modulus
            before = now
            if dt > 0.0:
                now = 0.0
                for i in range(terms):
                    own = structural_time * ratios[i]
                    part[i] = (own * part[i] + dt * new) / (own + dt)
                    now += weights[i] * part[i]
            strain = expansion_glass * (new - old) + (expansion_liquid - expansion_glass) * (now - before)
            y = dt * modulus / (BIAXIAL * eta)
            if y < SMALLEST_EXPONENT:
                added = modulus
                survives = 1.0
            elif y <= LARGEST_EXPONENT:
                added = -modulus * np.expm1(-y) / y
                survives = np.exp(-y)
            else:
                added = modulus / y
                survives = 0.0
            kept *= survives
            stiff = stiff * survives + added * share
            frozen_in = frozen_in * survives + added * strain
        fictive[step + 1] = now
        keep[step] = kept
        stiffness[step] = stiff
        free_strain[step] = frozen_in / stiff


@njit(nogil=True, cache=True)
def _thin(stress: Array, before: float, after: float, outward: float) -> None:
    """Move the Gauss points of a coat that loses its outer part; the linear stress stays."""
    gradient = (stress[1] - stress[0]) / (GAUSS * before)
    mean = 0.5 * (stress[0] + stress[1]) + outward * 0.5 * gradient * (after - before)
    stress[0] = mean - 0.5 * gradient * after * GAUSS
    stress[1] = mean + 0.5 * gradient * after * GAUSS


@njit(nogil=True, cache=True)
def _metal_forces(
    de: float,
    dk: float,
    base: Array,
    z: Array,
    limit: Array,
    modulus: float,
    hardening: float,
    stress: Array,
    excess: Array,
) -> tuple[float, float, float, float, float]:
    """Return-map all metal points; sums of stress and tangent over the points (unit weight)."""
    share = modulus / (modulus + 2.0 * hardening)
    drop = modulus * (1.0 - 2.0 * hardening / (modulus + 2.0 * hardening))
    force = 0.0
    moment = 0.0
    soft_a = 0.0
    soft_b = 0.0
    soft_d = 0.0
    for i in range(z.size):
        zi = z[i]
        s = base[i] + modulus * (de + dk * zi)
        over = abs(s) - limit[i]
        flows = over > 0.0
        over = over if flows else 0.0
        s -= np.copysign(over * share, s)
        excess[i] = over
        stress[i] = s
        force += s
        moment += s * zi
        soft = drop if flows else 0.0
        soft_a += soft
        soft_b += soft * zi
        soft_d += soft * zi * zi
    return force, moment, soft_a, soft_b, soft_d


@njit(nogil=True, cache=True)
def _solve_step(
    de: float,
    dk: float,
    coat_force: float,
    coat_moment: float,
    coat_a: float,
    coat_b: float,
    coat_d: float,
    base: Array,
    z: Array,
    z_square: float,
    weight: float,
    limit: Array,
    modulus: float,
    hardening: float,
    height: float,
    flat: bool,
    tolerance: float,
    stress: Array,
    excess: Array,
    balance: Array,
) -> tuple[float, float, bool]:
    """Balance force and moment over one time step: safeguarded Newton on a convex energy.

    ``coat_*`` are the coats' stress sums and stiffness at zero increment; they are linear.
    Returns the increments and whether they converged; leaves stress and excess of the last state.
    """
    count = z.size
    n, m, sa, sb, sd = _metal_forces(de, dk, base, z, limit, modulus, hardening, stress, excess)
    force = weight * n + coat_force + coat_a * de + coat_b * dk
    moment = weight * m + coat_moment + coat_b * de + coat_d * dk
    full_a = coat_a + weight * modulus * count
    full_d = coat_d + weight * modulus * z_square
    for _ in range(NEWTON_LIMIT):
        a = full_a - weight * sa
        b = coat_b - weight * sb
        d = full_d - weight * sd
        if flat:
            ie = -force / a
            ik = 0.0
        else:
            det = a * d - b * b
            ie = -(force * d - moment * b) / det
            ik = -(a * moment - b * force) / det
        size = abs(ie) + abs(ik) * height
        if size < tolerance:
            balance[0] = max(balance[0], abs(force))
            if not flat:
                balance[1] = max(balance[1], abs(moment))
            return de, dk, True
        if not np.isfinite(size):
            return de, dk, False
        start = abs(force * ie + moment * ik)
        low = 0.0
        high = 1.0
        s = 1.0
        for _bisection in range(BISECTIONS + 1):
            te = de + s * ie
            tk = dk + s * ik
            n, m, sa, sb, sd = _metal_forces(te, tk, base, z, limit, modulus, hardening, stress, excess)
            force = weight * n + coat_force + coat_a * te + coat_b * tk
            moment = weight * m + coat_moment + coat_b * te + coat_d * tk
            end = force * ie + moment * ik
            if end > ACCEPT_SLOPE * start:
                high = s
            elif end < REFUSE_SLOPE * start and s < 1.0:
                low = s
            else:
                break
            s = 0.5 * (low + high)
        de = te
        dk = tk
    return de, dk, False


@njit(nogil=True, cache=True)
def march(
    thickness: Array,  # (D, F, L) coat and metal thickness in force during each firing
    metal: int,  # position of the metal among the L layers
    joins: Whole,  # (L,) firing that fuses the layer; 0 for the metal
    table: Whole,  # (D, L) table of each layer
    strain_scale: Array,  # (D, L) multiplies the free strain
    yield_scale: Array,  # (D,)
    glass_strain: Array,  # (G, N)
    glass_keep: Array,  # (G, N)
    glass_stiffness: Array,  # (G, N)
    glass_modulus: Array,  # (G,)
    metal_strain: Array,  # (S, N)
    metal_modulus: Array,  # (S, N+1)
    metal_yield: Array,  # (S, N+1)
    metal_hardening: Array,  # (S, N+1)
    memory: Array,  # (N,) share of the plastic strain that survives the step
    marks: Whole,  # (F, 3) start, cooling, end nodes
    pressed: Flags,  # (F,) pressed flat and stress-free at the cooling node
    flat: bool,  # curvature held at zero throughout
    tolerance: float,
    sublayers: int,
    hot_curvature: Array,  # (D, F)
    cold_curvature: Array,  # (D, F)
    cold_strain: Array,  # (D, F)
    face_stress: Array,  # (D, F, L, 2) lower, upper face of each coat, cold
    heat_peak: Array,  # (D, F, L, 2)
    heat_node: Whole,  # (D, F, L, 2)
    cool_peak: Array,  # (D, F, L, 2)
    cool_node: Whole,  # (D, F, L, 2)
    metal_stress: Array,  # (D, F, P)
    plastic_strain: Array,  # (D, F, P)
    balance: Array,  # (D, 2) largest unbalanced force and moment
    failed: Whole,  # (D,) steps that did not converge
    trace_curvature: Array,  # (D, N+1) or (0, 0)
    trace_strain: Array,  # (D, N+1) or (0, 0)
    trace_face: Array,  # (D, N+1, L, 2) or (0, 0, 0, 0)
) -> None:
    """Carry every stack of a batch through all firings; fills the output arrays in place."""
    draws, firings, layers = thickness.shape
    points = 2 * sublayers
    root3 = 1.0 / GAUSS
    tracing = trace_curvature.size > 0

    z = np.empty(points)
    sigma = np.empty(points)
    base = np.empty(points)
    limit = np.empty(points)
    new = np.empty(points)
    excess = np.empty(points)
    p = np.empty(points)
    middle = np.empty(layers)
    half = np.empty(layers)
    stress = np.empty((layers, 2))  # coats: at the two Gauss points
    coat_base = np.empty((layers, 2))
    active = np.empty(layers, dtype=np.bool_)

    for draw in range(draws):
        sheet = table[draw, metal]
        t_metal = thickness[draw, 0, metal]
        weight = t_metal / points
        z_square = 0.0
        for i in range(sublayers):
            centre = t_metal * ((i + 0.5) / sublayers - 0.5)
            arm = 0.5 * t_metal / sublayers * GAUSS
            z[2 * i] = centre - arm
            z[2 * i + 1] = centre + arm
        for i in range(points):
            z_square += z[i] * z[i]
            sigma[i] = 0.0
            p[i] = 0.0
        for layer in range(layers):
            active[layer] = False
            stress[layer, 0] = 0.0
            stress[layer, 1] = 0.0
        e0 = 0.0
        k = 0.0
        de = 0.0
        dk = 0.0
        previous = 0.0  # metal free strain of the previous step, 0 = do not scale from it

        for firing in range(firings):
            node0 = marks[firing, 0]
            node1 = marks[firing, 1]
            node2 = marks[firing, 2]

            # --- heights of the layers in this firing; a thinned coat keeps its inner stress
            lost = False
            height = t_metal
            edge = 0.5 * t_metal
            for layer in range(metal + 1, layers):
                t = thickness[draw, firing, layer]
                height += t
                if active[layer] and t != 2.0 * half[layer]:
                    lost = True
                    _thin(stress[layer], 2.0 * half[layer], t, 1.0)
                middle[layer] = edge + 0.5 * t
                half[layer] = 0.5 * t
                edge += t
            edge = -0.5 * t_metal
            for layer in range(metal - 1, -1, -1):
                t = thickness[draw, firing, layer]
                height += t
                if active[layer] and t != 2.0 * half[layer]:
                    lost = True
                    _thin(stress[layer], 2.0 * half[layer], t, -1.0)
                middle[layer] = edge - 0.5 * t
                half[layer] = 0.5 * t
                edge -= t

            for layer in range(layers):
                for side in range(2):
                    heat_peak[draw, firing, layer, side] = np.nan
                    cool_peak[draw, firing, layer, side] = np.nan
                    heat_node[draw, firing, layer, side] = -1
                    cool_node[draw, firing, layer, side] = -1

            # --- one step per node; step -1 rebalances a stack that has lost material
            first = node0 - 1 if lost else node0
            for step in range(first, node2):
                rebalance = step < node0
                if step == node1:
                    if pressed[firing]:
                        e0 = 0.0
                        k = 0.0
                        for i in range(points):
                            sigma[i] = 0.0
                            p[i] = 0.0
                        for layer in range(layers):
                            stress[layer, 0] = 0.0
                            stress[layer, 1] = 0.0
                    for layer in range(layers):
                        if layer != metal and joins[layer] == firing:
                            active[layer] = True
                            stress[layer, 0] = 0.0
                            stress[layer, 1] = 0.0
                    hot_curvature[draw, firing] = k
                    previous = 0.0
                if rebalance or step == node0:
                    previous = 0.0

                # --- coats: linear in the increments, so summed once
                coat_force = 0.0
                coat_moment = 0.0
                coat_a = 0.0
                coat_b = 0.0
                coat_d = 0.0
                for layer in range(layers):
                    if layer == metal or not active[layer]:
                        continue
                    g = table[draw, layer]
                    if rebalance:
                        added = 0.0
                        keep = 1.0
                        stiff = glass_modulus[g]
                    else:
                        added = strain_scale[draw, layer] * glass_strain[g, step]
                        keep = glass_keep[g, step]
                        stiff = glass_stiffness[g, step]
                    s0 = keep * stress[layer, 0] - stiff * added
                    s1 = keep * stress[layer, 1] - stiff * added
                    coat_base[layer, 0] = s0
                    coat_base[layer, 1] = s1
                    zc = middle[layer]
                    hw = half[layer]
                    coat_force += hw * (s0 + s1)
                    coat_moment += hw * (zc * (s0 + s1) + hw * GAUSS * (s1 - s0))
                    coat_a += 2.0 * hw * stiff
                    coat_b += 2.0 * hw * stiff * zc
                    coat_d += 2.0 * hw * stiff * (zc * zc + hw * hw / 3.0)

                # --- metal: trial stress and yield limit
                if rebalance:
                    own = 0.0
                    b_new = metal_modulus[sheet, node0]
                    ratio = 1.0
                    y_new = yield_scale[draw] * metal_yield[sheet, node0]
                    h_new = metal_hardening[sheet, node0]
                else:
                    own = strain_scale[draw, metal] * metal_strain[sheet, step]
                    b_new = metal_modulus[sheet, step + 1]
                    ratio = b_new / metal_modulus[sheet, step]
                    y_new = yield_scale[draw] * metal_yield[sheet, step + 1]
                    h_new = metal_hardening[sheet, step + 1]
                for i in range(points):
                    base[i] = sigma[i] * ratio - b_new * own
                    limit[i] = y_new + h_new * p[i]

                # --- predictor: the previous increments, else free contraction of the metal
                scale = own / previous if previous != 0.0 else -1.0
                if 0.0 < scale < LARGEST_RATIO:
                    de *= scale
                    dk *= scale
                else:
                    de = own
                    dk = 0.0
                previous = own

                de, dk, good = _solve_step(
                    de, dk, coat_force, coat_moment, coat_a, coat_b, coat_d,
                    base, z, z_square, weight, limit, b_new, h_new, height, flat, tolerance,
                    new, excess, balance[draw],
                )  # fmt: skip
                if not good:
                    failed[draw] += 1
                    de = own
                    dk = 0.0
                    _metal_forces(de, dk, base, z, limit, b_new, h_new, new, excess)

                # --- commit
                e0 += de
                k += dk
                fade = 1.0 if rebalance else memory[step]
                gain = 1.0 / (0.5 * b_new + h_new)
                for i in range(points):
                    sigma[i] = new[i]
                    p[i] = (p[i] + excess[i] * gain) * fade
                cooling = step >= node1
                for layer in range(layers):
                    if layer == metal or not active[layer]:
                        continue
                    if rebalance:
                        stiff = glass_modulus[table[draw, layer]]
                    else:
                        stiff = glass_stiffness[table[draw, layer], step]
                    arm = half[layer] * GAUSS
                    s0 = coat_base[layer, 0] + stiff * (de + dk * (middle[layer] - arm))
                    s1 = coat_base[layer, 1] + stiff * (de + dk * (middle[layer] + arm))
                    stress[layer, 0] = s0
                    stress[layer, 1] = s1
                    if half[layer] == 0.0:
                        continue
                    mean = 0.5 * (s0 + s1)
                    reach = 0.5 * root3 * (s1 - s0)
                    low = mean - reach
                    high = mean + reach
                    if cooling:
                        peak, node = cool_peak[draw, firing, layer], cool_node[draw, firing, layer]
                    else:
                        peak, node = heat_peak[draw, firing, layer], heat_node[draw, firing, layer]
                    for side in range(2):
                        face = low if side == 0 else high
                        if not face <= peak[side]:
                            peak[side] = face
                            node[side] = step + 1
                    if tracing:
                        trace_face[draw, step + 1, layer, 0] = low
                        trace_face[draw, step + 1, layer, 1] = high
                if tracing:
                    trace_curvature[draw, step + 1] = k
                    trace_strain[draw, step + 1] = e0

            cold_curvature[draw, firing] = k
            cold_strain[draw, firing] = e0
            for layer in range(layers):
                if layer == metal or not active[layer] or half[layer] == 0.0:
                    face_stress[draw, firing, layer, 0] = np.nan
                    face_stress[draw, firing, layer, 1] = np.nan
                else:
                    mean = 0.5 * (stress[layer, 0] + stress[layer, 1])
                    reach = 0.5 * root3 * (stress[layer, 1] - stress[layer, 0])
                    face_stress[draw, firing, layer, 0] = mean - reach
                    face_stress[draw, firing, layer, 1] = mean + reach
            for i in range(points):
                metal_stress[draw, firing, i] = sigma[i]
                plastic_strain[draw, firing, i] = p[i]

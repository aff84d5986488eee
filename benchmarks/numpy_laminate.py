"""The same laminate stepped with whole-array numpy: the peer of the compiled kernel.

All stacks of the batch advance together; each step iterates Newton only on the stacks still out of
balance.  One firing, coats on either or both sides, no history.
"""

from __future__ import annotations

import numpy as np

from enamelwright.physics.sheet import SheetTable
from enamelwright.physics.structural_relaxation import GlassTable


def solve_batch(
    sheet: np.ndarray,
    front: np.ndarray,
    back: np.ndarray,
    yield_scale: np.ndarray,
    metal: SheetTable,
    glass: GlassTable,
    sublayers: int,
    tolerance: float = 1e-9,
) -> np.ndarray:
    """Cold curvature [1/m] of stacks with one coat on each side; arguments (n,) in metres."""
    count, arm = 2 * sublayers, 1 / np.sqrt(3)
    unit = ((np.arange(sublayers) + 0.5)[:, None] + np.array([-arm, arm]) / 2).ravel() / sublayers
    z = sheet[:, None] * (unit - 0.5)
    coat_z = np.stack(
        [side * (sheet + t) / 2 + a * t / 2 for side, t in ((1, front), (-1, back)) for a in (-arm, arm)],
        axis=1,
    )  # fmt: skip
    coat_w = np.stack([front, front, back, back], axis=1) / 2
    w = sheet / count
    height = sheet + front + back
    sigma, p, s_coat = np.zeros_like(z), np.zeros_like(z), np.zeros_like(coat_z)
    k, de, dk = np.zeros(sheet.size), np.zeros(sheet.size), np.zeros(sheet.size)

    for step in range(metal.free_strain.size):
        own, b = metal.free_strain[step], metal.modulus[step + 1]
        h = metal.hardening[step + 1]
        base = sigma * (b / metal.modulus[step]) - b * own
        limit = (metal.yield_stress[step + 1] * yield_scale)[:, None] + h * p
        stiff = glass.stiffness[step]
        coat_base = glass.keep[step] * s_coat - stiff * glass.free_strain[step]
        f0, m0 = (coat_w * coat_base).sum(1), (coat_w * coat_z * coat_base).sum(1)
        ca, cb = stiff * coat_w.sum(1), stiff * (coat_w * coat_z).sum(1)
        cd = stiff * (coat_w * coat_z**2).sum(1)
        if step == 0:
            de[:] = own
        live = np.arange(sheet.size)
        low, high, share = np.zeros(sheet.size), np.ones(sheet.size), np.ones(sheet.size)
        from_e, from_k = de.copy(), dk.copy()
        ie, ik, slope = np.zeros(sheet.size), np.zeros(sheet.size), np.full(sheet.size, np.inf)
        searched = np.zeros(sheet.size, dtype=int)
        while live.size:
            zl = z[live]
            s = base[live] + b * (de[live, None] + dk[live, None] * zl)
            over = np.maximum(np.abs(s) - limit[live], 0)
            s -= np.copysign(over * (b / (b + 2 * h)), s)
            tangent = np.where(over > 0, 2 * b * h / (b + 2 * h), b)
            wl = w[live]
            force = wl * s.sum(1) + f0[live] + ca[live] * de[live] + cb[live] * dk[live]
            moment = wl * (s * zl).sum(1) + m0[live] + cb[live] * de[live] + cd[live] * dk[live]
            end = force * ie[live] + moment * ik[live]
            bad = (end > 0.5 * slope[live]) | ((end < -0.7 * slope[live]) & (share[live] < 1))
            bad &= searched[live] < 12
            if bad.any():
                at = live[bad]
                up = end[bad] > 0
                high[at[up]], low[at[~up]] = share[at[up]], share[at[~up]]
                share[at] = (low[at] + high[at]) / 2
                searched[at] += 1
                de[at] = from_e[at] + share[at] * ie[at]
                dk[at] = from_k[at] + share[at] * ik[at]
            good = ~bad
            at, tz = live[good], tangent[good] * zl[good]
            a = w[at] * tangent[good].sum(1) + ca[at]
            c = w[at] * tz.sum(1) + cb[at]
            d = w[at] * (tz * zl[good]).sum(1) + cd[at]
            det = a * d - c * c
            f, m = force[good], moment[good]
            ie[at], ik[at] = -(f * d - m * c) / det, -(a * m - c * f) / det
            done = np.abs(ie[at]) + np.abs(ik[at]) * height[at] < tolerance
            ready, go = at[done], at[~done]
            sigma[ready] = s[good][done]
            p[ready] += over[good][done] / (b / 2 + h)
            slope[go] = np.abs(f * ie[at] + m * ik[at])[~done]
            from_e[go], from_k[go] = de[go], dk[go]
            de[go] += ie[go]
            dk[go] += ik[go]
            low[go], high[go], share[go], searched[go] = 0, 1, 1, 0
            live = np.concatenate([live[bad], go])
        s_coat = coat_base + stiff * (de[:, None] + dk[:, None] * coat_z)
        k += dk
    return k

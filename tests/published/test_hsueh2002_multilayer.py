"""Elastic stacks of many layers against Hsueh's closed form.

Source
------
C.-H. Hsueh, Modeling of elastic deformation of multilayers due to residual stresses and external
bending, J. Appl. Phys. 91 (2002) 9652, and Thin Solid Films 418 (2002) 182, eqs 6, 8, 10 (as quoted
in later papers, secondary source).  The substrate lies at z in [-ts, 0], the films above it.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enamelwright.physics.elastic_laminate import solve_elastic


def hsueh(thickness, modulus, strain):
    """Curvature and mean strain at the interface above the substrate."""
    ts, bs, es = thickness[0], modulus[0], strain[0]
    t, b, e = thickness[1:], modulus[1:], strain[1:]
    below = np.cumsum(t) - t
    total = bs * ts + (b * t).sum()
    c = (bs * ts * es + (b * t * e).sum()) / total
    axis = (-bs * ts**2 + (b * t * (2 * below + t)).sum()) / (2 * total)
    top = 3 * (bs * (c - es) * ts**2 - (b * t * (c - e) * (2 * below + t)).sum())
    inertia = 6 * below**2 + 6 * below * t + 2 * t**2 - 3 * axis * (2 * below + t)
    curvature = top / (bs * ts**2 * (2 * ts + 3 * axis) + (b * t * inertia).sum())
    return curvature, c - axis * curvature


STRAIN = st.floats(-1.0, 1.0, allow_subnormal=False)
LAYER = st.tuples(st.floats(0.01, 3.0), st.floats(0.1, 5.0), STRAIN)


@settings(max_examples=200)
@given(st.lists(LAYER, min_size=2, max_size=6))
def test_any_stack(layers):
    thickness, modulus, strain = (np.array(v) for v in zip(*layers, strict=True))
    thickness, modulus, strain = thickness * 1e-3, modulus * 1e11, strain * 1e-2
    state = solve_elastic(thickness, modulus, strain)
    curvature, at_interface = hsueh(thickness, modulus, strain)
    # Both sums lose digits to cancellation; the scale is the largest curvature such layers reach.
    assert state.curvature == pytest.approx(
        curvature, rel=1e-9, abs=1e-9 * np.abs(strain).max() / thickness.sum() + 1e-300
    )
    interface = state.strain + state.curvature * (thickness[0] - thickness.sum() / 2)
    assert interface == pytest.approx(at_interface, rel=1e-9, abs=1e-9 * np.abs(strain).max() + 1e-15)

"""Bands of bow and stress from the default spread of materials and coats."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from enamelwright.physics.laminate import Coat, Side, solve, stack
from enamelwright.physics.structural_relaxation import relax_structure
from named_materials import COPPER, MM, MPA, bow, enamel, firings

SHIFTS = (-25.0, -12.0, 0.0, 12.0, 25.0)
DRAWS = 4000


def draws(coats, nominal, seed=11):
    """Coats sd 15 %, sheet 1 %, strain scale .04, ln yield .25, T12 in five groups (assumption)."""
    rng = np.random.default_rng(seed)
    path = firings(steps=50)
    glasses = [relax_structure(enamel(t12=480 + dt), path) for dt in SHIFTS]
    thick = np.array(nominal) * MM * (1 + 0.15 * rng.standard_normal((DRAWS, len(coats))))
    piece = stack(
        0.8 * MM * (1 + 0.01 * rng.standard_normal(DRAWS)), coats, thick.clip(0.02 * MM),
        coat_strain_scale=1 + 0.04 * rng.standard_normal((DRAWS, 1)),
        yield_scale=np.exp(0.25 * rng.standard_normal(DRAWS)),
        coat_table=(np.arange(DRAWS) % 5)[:, np.newaxis],
    )  # fmt: skip
    return solve(piece, path, COPPER.table(path), glasses, threads=2)


def test_one_sided_band():
    """Copper .8/.2: bow .245/.317/.381 mm, face -89/-35/-1 MPa, P(tension) .04 (independent)."""
    out = draws([Coat(Side.FRONT)], [0.2])
    band = np.percentile(bow(out.cold_curvature[:, 0]), [5, 50, 95])
    assert band == pytest.approx([0.245, 0.317, 0.381], abs=0.006)
    face = out.outer_stress("front")[:, 0] / MPA
    # Sampling error of the tails: 95 % of a sd of about 27 MPa with 4,000 draws is 1 MPa.
    assert np.percentile(face, [5, 50, 95]) == pytest.approx([-89, -35, -1], abs=3)
    assert np.mean(face > 0) == pytest.approx(0.04, abs=0.015)


def test_two_sided_band():
    """Copper .2/.8/.2: bow -.041/0/.041 mm, face -171/-107/-68 MPa (independent computation)."""
    out = draws([Coat(Side.FRONT), Coat(Side.BACK)], [0.2, 0.2])
    band = np.percentile(bow(out.cold_curvature[:, 0]), [5, 50, 95])
    assert band == pytest.approx([-0.041, 0.0, 0.041], abs=0.004)
    face = out.outer_stress("front")[:, 0] / MPA
    assert np.percentile(face, [5, 50, 95]) == pytest.approx([-171, -107, -68], abs=4)


def test_importing_the_solver_loads_no_compiler():
    """Help and small questions must not pay for numba or scipy."""
    code = (
        "import sys, enamelwright.physics.laminate, enamelwright.physics.slab,"
        " enamelwright.physics.counter_coat, enamelwright.physics.deflection;"
        " print([m for m in ('numba', 'scipy') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"

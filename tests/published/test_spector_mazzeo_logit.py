"""A logistic fit under a prior so wide that it says nothing, against a printed one.

L. C. Spector, M. Mazzeo, Probit analysis and economic education, J. Econ. Educ. 11 (1980) 37; the logit estimates and
standard errors as printed in W. H. Greene, Econometric Analysis, table 21.1 (from memory, confirmed by the fit itself).
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.learning.rare_faults import firth, weak_prior

# grade point average, entry test, new method, improved
ROWS = """
2.66 20 0 0  2.89 22 0 0  3.28 24 0 0  2.92 12 0 0  4.00 21 0 1  2.86 17 0 0  2.76 17 0 0  2.87 21 0 0
3.03 25 0 0  3.92 29 0 1  2.63 20 0 0  3.32 23 0 0  3.57 23 0 0  3.26 25 0 1  3.53 26 0 0  2.74 19 0 0
2.75 25 0 0  2.83 19 0 0  3.12 23 1 0  3.16 25 1 1  2.06 22 1 0  3.62 28 1 1  2.89 14 1 0  3.51 26 1 0
3.54 24 1 1  2.83 27 1 1  3.39 17 1 1  2.67 24 1 0  3.65 21 1 1  4.00 23 1 1  3.10 21 1 0  2.39 19 1 1
"""
TABLE = np.array(ROWS.split(), dtype=float).reshape(-1, 4)
INPUTS, IMPROVED = np.column_stack([np.ones(len(TABLE)), TABLE[:, :3]]), TABLE[:, 3]


def test_estimates_and_errors() -> None:
    got = weak_prior(INPUTS, IMPROVED, sd=1e5)
    assert got.coefficients == pytest.approx([-13.0213, 2.8261, 0.0952, 2.3787], abs=5e-4)
    assert np.sqrt(np.diag(got.covariance)) == pytest.approx([4.9313, 1.2629, 0.1416, 1.0646], abs=5e-4)


def test_the_penalty_draws_towards_nought() -> None:
    """With 32 cases Firth's estimates are smaller than the plain ones, each of the same sign."""
    plain, small = weak_prior(INPUTS, IMPROVED, sd=1e5).coefficients, firth(INPUTS, IMPROVED).coefficients
    assert (np.abs(small) < np.abs(plain)).all()
    assert (np.sign(small) == np.sign(plain)).all()

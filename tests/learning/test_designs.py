"""Classical designs: orthogonality, rotatability and a textbook's effects."""

import numpy as np
import pytest

from enamelwright.errors import InputError
from enamelwright.learning.designs import central_composite, contrasts, factorial, plackett_burman


def test_plackett_burman_is_orthogonal() -> None:
    plan = np.c_[np.ones(12), plackett_burman()]
    assert np.array_equal(plan.T @ plan, 12 * np.eye(12))


@pytest.mark.parametrize("factors", [1, 2, 3, 5])
def test_a_factorial_is_orthogonal_and_complete(factors: int) -> None:
    plan = factorial(factors)
    assert np.array_equal(plan.T @ plan, 2**factors * np.eye(factors))
    assert len({tuple(row) for row in plan}) == 2**factors


def test_axial_points_stand_at_the_rotatable_distance() -> None:
    plan = central_composite(3)
    assert np.max(np.abs(plan)) == pytest.approx(1.681792831, abs=1e-9)
    # Rotatable: the fourth moments stand 3 to 1.
    assert np.sum(plan[:, 0] ** 4) == pytest.approx(3 * np.sum(plan[:, 0] ** 2 * plan[:, 1] ** 2))


def test_effects_of_the_plasma_etch_example() -> None:
    """Montgomery, Design and Analysis of Experiments, 2^3 with two runs each; run totals from memory, effects as printed."""
    got = contrasts([1154, 1319, 1234, 1277, 2089, 1617, 2138, 1589], each=2)
    printed = {"A": -101.625, "B": 7.375, "C": 306.125, "AB": -24.875, "AC": -153.625, "BC": -2.125, "ABC": 5.625}
    assert got == pytest.approx(printed, abs=1e-9)


def test_what_is_no_plan_is_refused() -> None:
    for wrong in (lambda: factorial(0), lambda: central_composite(1), lambda: contrasts([1, 2, 3])):
        with pytest.raises(InputError):
            wrong()

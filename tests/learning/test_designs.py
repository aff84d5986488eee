"""Classical designs: orthogonality."""

import numpy as np
import pytest

from enamelwright.errors import InputError
from enamelwright.learning.designs import factorial, plackett_burman


def test_plackett_burman_is_orthogonal() -> None:
    plan = np.c_[np.ones(12), plackett_burman()]
    assert np.array_equal(plan.T @ plan, 12 * np.eye(12))


@pytest.mark.parametrize("factors", [1, 2, 3, 5])
def test_a_factorial_is_orthogonal_and_complete(factors: int) -> None:
    plan = factorial(factors)
    assert np.array_equal(plan.T @ plan, 2**factors * np.eye(factors))
    assert len({tuple(row) for row in plan}) == 2**factors


def test_what_is_no_plan_is_refused() -> None:
    for wrong in (0, 7):
        with pytest.raises(InputError):
            factorial(wrong)

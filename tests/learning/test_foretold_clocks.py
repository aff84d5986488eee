"""Many clocks read at once are the clocks read one by one, and records are gathered once for all paces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from crowded_records import JARS, crowded
from enamelwright.learning.few_parts import Blocks
from enamelwright.learning.foretold_clocks import ForetoldClocks
from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.stage_records import Foretold
from enamelwright.workshop.learned_clocks import spreads

MARKS = (-2.2, -1.1, 0.0, 1.0)
COURSES = (
    Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), MARKS),
    Foretold((40.0, 90.0), (-1.5, 0.3), MARKS, 0.12),
    Foretold((55.0, 69.0, 94.0, 160.0, 304.0), (-2.8, -1.6, -0.5, 0.2, 0.7), MARKS, -0.2),
)


@pytest.mark.parametrize("pace", [0.0, -0.3, 0.45])
def test_clocks_read_together_are_those_read_alone(pace: float) -> None:
    """Before the first point, on a point, between points and after the last."""
    seconds = (20.0, 69.0, 75.0, 94.0, 150.0, 700.0)
    pairs = [(one, at) for one in COURSES for at in seconds]
    together = ForetoldClocks.of([one for one, _ in pairs], [at for _, at in pairs])
    clock, gain, slope = together.told(np.full(len(pairs), pace))
    alone = [one.clock_at(at, pace) - one.gain_at(at, pace) * pace + one.learned for one, at in pairs]
    assert clock == pytest.approx(alone, rel=1e-12, abs=1e-12)
    assert gain == pytest.approx([one.gain_at(at, pace) for one, at in pairs], rel=1e-11, abs=1e-11)
    assert slope == pytest.approx([one.slope_at(at, pace) for one, at in pairs], rel=1e-11, abs=1e-12)


def test_rows_gathered_a_record_are_a_matrix() -> None:
    """Products, sums and spreads against whole matrices; a part that is stretched counts so many times."""
    rng = np.random.default_rng(3)
    size, told = 7, [[{1: 1.0, 4: -0.5}, {}], [{0: 2.0}, {0: 1.0, 6: 0.3, 2: 1.0}]]
    by = rng.normal(size=(2, 2))
    blocks = Blocks.of(told, size).stretched((4, 6), by)
    whole = np.zeros((2, 2, size))
    for k, rows in enumerate(told):
        for number, row in enumerate(rows):
            for place, value in row.items():
                whole[k, number, place] = value * (by[k, number] if place in (4, 6) else 1.0)
    state, slopes, bends = rng.normal(size=size), rng.normal(size=(2, 2)), rng.normal(size=(2, 2, 2))
    root = rng.normal(size=(size, size))
    assert blocks.times(state) == pytest.approx(whole @ state)
    slope, bend = blocks.gather(slopes, bends)
    assert slope == pytest.approx(np.einsum("mr,mrp->p", slopes, whole))
    assert bend == pytest.approx(np.einsum("mrp,mrs,msq->pq", whole, bends, whole))
    assert blocks.spread(root @ root.T) == pytest.approx(np.einsum("mrp,pq,mrq->mr", whole, root @ root.T, whole))


def test_records_are_gathered_once_for_all_paces_scatters_and_jumps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once those of one coat, once those of several; read about many paces all the same."""
    gathered, read = [], []
    of, told = Blocks.of, ForetoldClocks.told

    def counted(records: Sequence[Sequence[dict[int, float]]], size: int) -> Blocks:
        gathered.append(len(records))
        return of(records, size)

    def noted(self: ForetoldClocks, pace: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        read.append(float(pace.max()))
        return told(self, pace)

    monkeypatch.setattr(Blocks, "of", counted)
    monkeypatch.setattr(ForetoldClocks, "told", noted)
    records = crowded(60, 30, 6, 5)
    kiln_clock(records, {f"J{k}": 0.15 for k in range(JARS)}, replace(spreads(), pace=0.3))
    assert sum(gathered) == len(records)
    assert len(gathered) == 2
    assert len(set(read)) > 2

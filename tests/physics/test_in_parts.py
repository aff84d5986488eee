"""Spreading over threads changes nothing but the time: every member is done once, and errors come out."""

from __future__ import annotations

import threading

import numpy as np
import pytest

from enamelwright.physics.in_parts import in_parts


@pytest.mark.parametrize(
    ("members", "smallest", "threads"), [(0, 16, 2), (1, 16, 2), (31, 16, 2), (32, 16, 2), (257, 1, 5)]
)
def test_every_member_is_done_once(members: int, smallest: int, threads: int) -> None:
    done = np.zeros(members, dtype=int)

    def run(part: slice) -> None:
        done[part] += 1

    in_parts(run, members, smallest, threads)
    assert (done == 1).all()


def test_one_part_stays_in_the_asking_thread() -> None:
    seen = []
    in_parts(lambda part: seen.append((part, threading.current_thread())), 10, 16, 8)
    assert seen == [(slice(0, 10), threading.current_thread())]


@pytest.mark.parametrize("fails", [0, 50])
def test_an_error_comes_out_once_all_parts_have_ended(fails: int) -> None:
    ended = []

    def run(part: slice) -> None:
        ended.append(part.start)
        if part.start == fails:
            raise ValueError("this part")

    with pytest.raises(ValueError, match="this part"):
        in_parts(run, 100, 10, 2)
    assert sorted(ended) == [0, 50]

"""What is cut from sheet, asked for by several pages at once."""

from __future__ import annotations

import time
from collections import OrderedDict
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from enamelwright.workshop import cut_designs
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.studio import Studio
from morning import EXAMPLES

THREADS, TIMES = 4, 10


class Hesitant(OrderedDict[Any, Any]):
    """What is kept, with a pause between finding something and taking it, in which other threads have their turn."""

    def __contains__(self, key: object) -> bool:
        found = super().__contains__(key)
        time.sleep(0.001)
        return found


@pytest.fixture
def several(studio: Studio, tmp_path: Path) -> Studio:
    """Three designs cut from sheet."""
    for name in ("sifted-pendant", "one-firing-disc", "clear-on-copper"):
        keep_design(studio, EXAMPLES / f"{name}.toml")
    return studio


def test_pages_at_once_push_one_another_out(several: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    """One thread looks a version up while another pushes it out; each has the whole list all the same."""
    whole = [one.name for one in cut_designs.cut_designs(several)]
    assert len(whole) == 3
    monkeypatch.setattr(cut_designs, "MOST_CUT", 1)
    monkeypatch.setattr(cut_designs, "_CUT", Hesitant())

    def ask(_: int) -> list[str]:
        return [one.name for one in cut_designs.cut_designs(several)]

    with ThreadPoolExecutor(THREADS) as threads:
        told = list(threads.map(ask, range(THREADS * TIMES)))
    assert all(one == whole for one in told)
    assert len(cut_designs._CUT) <= 1


def test_a_version_is_read_once(several: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    cut_designs.cut_designs(several)
    monkeypatch.setattr(cut_designs, "_cut", lambda version: pytest.fail("read again"))
    assert len(cut_designs.cut_designs(several)) == 3

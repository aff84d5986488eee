"""Two benches that change the same thing at the same time: nobody's words are lost without being told."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from typing import Any

import bursts
import pytest
from sqlalchemy import func, select

from enamelwright.records.errors import Conflict
from enamelwright.records.opening import open_store
from enamelwright.records.schema.house import number_given
from enamelwright.records.schema.jars import jar
from enamelwright.records.schema.loads import load
from enamelwright.records.states import history
from enamelwright.records.store import Store
from enamelwright.records.writing import current

#: How many times the two collide.
ROUNDS = 15


@pytest.fixture
def other(store: Store) -> Iterator[Store]:
    """The second bench."""
    opened = open_store(store.home)
    yield opened
    opened.close()


def at_once(*jobs: Callable[[], Any]) -> list[Any]:
    """Do jobs at the same time; each gives its result or its error."""
    gate = threading.Barrier(len(jobs))
    results: list[Any] = [None] * len(jobs)

    def run(number: int) -> None:
        gate.wait()
        try:
            results[number] = jobs[number]()
        except Exception as error:
            results[number] = error

    threads = [threading.Thread(target=run, args=(n,)) for n in range(len(jobs))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


def change(store: Store, version: int, words: str) -> int:
    """Change the words of the jar from one version."""
    with store.writing() as work:
        return work.change(jar, 1, version, words=words)


def test_the_second_sees_both_values(store: Store, other: Store) -> None:
    bursts.prepare(store)
    change(store, 1, "from the first bench")
    with pytest.raises(Conflict) as told:
        change(other, 1, "from the second bench")
    assert told.value.mine == {"words": "from the second bench"}
    assert told.value.theirs["words"] == "from the first bench"
    assert told.value.theirs["version"] == 2
    change(other, 2, "from the second bench, having seen the first")
    with store.reading() as view:
        said = [state["words"] for state in history(view, jar, 1)]
    assert said == [None, "from the first bench", "from the second bench, having seen the first"]


def test_of_two_at_once_one_is_told(store: Store, other: Store, record_property: Callable[[str, object], None]) -> None:
    bursts.prepare(store)
    for version in range(1, ROUNDS + 1):
        results = at_once(
            lambda v=version: change(store, v, f"first {v}"),  # type: ignore[misc]
            lambda v=version: change(other, v, f"second {v}"),  # type: ignore[misc]
        )
        told = [one for one in results if isinstance(one, Conflict)]
        assert sorted(map(str, results)) == sorted([str(version + 1), *map(str, told)])
        assert len(told) == 1
        assert {told[0].mine["words"], told[0].theirs["words"]} == {f"first {version}", f"second {version}"}
    with store.reading() as view:
        assert len(history(view, jar, 1)) == ROUNDS + 1
    record_property(
        "faults",
        f"two benches change one jar, {store.engine.dialect.name}: {ROUNDS} collisions, {ROUNDS} told with both values",
    )


def test_a_correction_has_one_end(store: Store, other: Store) -> None:
    with store.writing() as work:
        row = work.add(load, number=work.number("load", 2026), seconds=150.0)

    def correct(bench: Store, seconds: float) -> int:
        with bench.writing() as work:
            return work.correct(load, row, why="misread", seconds=seconds)

    results = at_once(lambda: correct(store, 160.0), lambda: correct(other, 170.0))
    told = [one for one in results if isinstance(one, Conflict)]
    assert len(told) == 1
    assert {told[0].mine["seconds"], told[0].theirs["seconds"]} == {160.0, 170.0}
    with store.reading() as view:
        assert len(view.execute(current(load)).all()) == 1
        assert len(history(view, load, row)) == 2


def test_numbers_are_given_once_and_without_a_gap(store: Store, other: Store) -> None:
    def take(bench: Store) -> list[str]:
        given = []
        for _ in range(ROUNDS):
            with bench.writing() as work:
                given.append(work.number("piece", 2026))
        return given

    first, second = at_once(lambda: take(store), lambda: take(other))
    assert sorted(first + second) == [f"2026-{n:03d}" for n in range(1, 2 * ROUNDS + 1)]


def test_one_entry_sent_from_two_sides_is_written_once(store: Store, other: Store) -> None:
    bursts.prepare(store)
    results = at_once(*(lambda b=bench: bursts.write_one(b, "same", lambda *_: None) for bench in (store, other)))  # type: ignore[misc]
    assert results[0] == results[1]
    present, half = bursts.entries(store)
    assert (present, half) == ({"same"}, set())
    bursts.agrees(store, present)


def test_a_reader_sees_one_moment(store: Store, other: Store) -> None:
    """What is written while a list is read does not get into it halfway."""
    bursts.prepare(store)
    with store.reading() as view:
        before = view.execute(select(func.count()).select_from(load)).scalar()
        bursts.write_one(other, "meanwhile", lambda *_: None)
        assert view.execute(select(func.count()).select_from(load)).scalar() == before
        assert view.execute(select(func.count()).select_from(number_given)).scalar() == bursts.PIECES
    with store.reading() as view:
        assert view.execute(select(func.count()).select_from(load)).scalar() == 2

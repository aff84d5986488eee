"""What was read from the whole record stays at hand, and never longer than it is true; reading in bulk tells the same."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from enamelwright.records.schema.loads import load
from enamelwright.workshop import cut_designs
from enamelwright.workshop.at_hand import AtHand
from enamelwright.workshop.costing import earned
from enamelwright.workshop.coverage import compared
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.finishing import spend_time, time_on, times_on
from enamelwright.workshop.firing_facts import firing_facts
from enamelwright.workshop.history import correct, withdraw
from enamelwright.workshop.loads import begin_load, close_load, fired
from enamelwright.workshop.orders import add_line, pay, take_order
from enamelwright.workshop.pieces import change_piece, finish_piece, start_pieces
from enamelwright.workshop.selling import sold
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.takings import taken_for
from morning import MORNING


def test_it_is_read_once_until_something_is_written(studio: Studio) -> None:
    read = []
    kept = AtHand[int](load)

    def now() -> int:
        return kept.get(studio, lambda: read.append(1) or len(read))  # type: ignore[func-returns-value]

    assert [now(), now()] == [1, 1]
    start_pieces(studio, labels=["A"], metal="copper")
    assert now() == 1  # nothing it was read from
    fired(studio, ["A"], stage_seen="gloss", at=MORNING)
    assert now() == 2
    change_piece(studio, "A", words="kept things leave what they were")
    assert now() == 3
    assert kept.get(studio, lambda: 9, of="another bench") == 9


def test_firings_at_hand_follow_every_entry(studio: Studio) -> None:
    start_pieces(studio, labels=["A"], metal="copper")
    begun = begin_load(studio.at(MORNING), ["A"])
    assert firing_facts(studio) == ()
    close_load(studio.at(MORNING + timedelta(minutes=3)), begun.load, seconds="150 s", stage_seen="gloss")
    told = firing_facts(studio)
    assert [one.facts.seconds for one in told] == [150]
    assert firing_facts(studio) is told
    assert compared(studio) == []
    correct(studio, "load", begun.number, "the wrong clock", seconds="160 s")
    assert [one.facts.seconds for one in firing_facts(studio)] == [160]
    withdraw(studio, "load", begun.number, "another piece")
    assert firing_facts(studio) == ()


@pytest.mark.parametrize("one_by_one", [10_000, 0])
def test_bulk_and_single_tell_the_same(
    studio: Studio, disc: Path, monkeypatch: pytest.MonkeyPatch, one_by_one: int
) -> None:
    """Whether rows are asked for one by one or all are read, as they are of very many."""
    monkeypatch.setattr("enamelwright.workshop.named.ONE_BY_ONE", one_by_one)
    set_setting(studio, CURRENCY, "EUR")
    keep_design(studio, disc)
    first, second = (take_order(studio, f"order {n}") for n in (1, 2))
    lines = [add_line(studio, one.number, design="Test disc", count=2) for one in (first, second)]
    made = [one for line in lines for one in start_pieces(studio, 2, "Test disc", batch="b", order_line=line)]
    start_pieces(studio, 1, "Test disc", labels=["spare"])
    spend_time(studio, "laying", "20 min", piece=made[0].id)
    spend_time(studio, "laying", "30 min", piece=made[1].id, share=0.5)
    spend_time(studio, "sifting", "40 min", batch=int(made[0].batch), pieces=4)
    for one in made[:3]:
        finish_piece(studio, one.id)
        sold(studio, one.id, "40 EUR")
    pay(studio, "deposit", "30 EUR", order=first.number)
    pay(studio, "deposit", "10 EUR", order=second.number)
    ids = [int(one.id) for one in made]
    assert times_on(studio, ids) == {one: time_on(studio, one) for one in ids}
    assert sum(times_on(studio, ids[:2]).values()) == pytest.approx((20 + 15 + 10 + 10) * 60)
    together = taken_for(studio, ids)
    assert together == {one: taken_for(studio, [one])[one] for one in ids[:3]}
    assert [one.order for one in together.values()] == [first.number, first.number, second.number]
    (told,) = earned(studio)
    assert (told.sold, told.timed) == (3, 2)  # the third is of another batch
    assert told.taken == sum(one.sums["EUR"] for one in together.values())


def test_designs_to_cut_follow_their_newest_version(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    (before,) = cut_designs.cut_designs(studio)
    assert cut_designs.cut_designs(studio)[0].shape is before.shape
    text = disc.read_text(encoding="utf-8")
    changed = text.replace("diameter_mm = 25", "diameter_mm = 30")
    assert changed != text
    disc.write_text(changed, encoding="utf-8")
    keep_design(studio, disc)
    (after,) = cut_designs.cut_designs(studio)
    assert after.version != before.version
    assert after.shape.chord == pytest.approx(0.030)

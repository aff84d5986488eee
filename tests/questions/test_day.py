"""What goes in next, and when: the plan in words, the dates, the rules of thumb beside it, and bad input."""

from __future__ import annotations

import copy
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from enamelwright.errors import InputError, OutOfReach
from enamelwright.files.piece_file import read_piece
from enamelwright.questions.day import QUESTION, DayAnswer

EXAMPLES = Path(__file__).parents[2] / "examples"


def asked(**changes: Any) -> dict[str, Any]:
    data = copy.deepcopy(dict(QUESTION.example))
    piece = changes.pop("piece", {})
    data["pieces"][0].update({k: v for k, v in changes.items() if k in {"due", "owner", "done", "label"}})
    data["pieces"][0]["piece"].update(piece)
    data.update({k: v for k, v in changes.items() if k not in {"due", "owner", "done", "label"}})
    return data


def ask(**changes: Any) -> DayAnswer:
    payload: DayAnswer = QUESTION.ask(asked(**changes)).payload
    return payload


def test_the_first_thing_said_is_what_goes_in_next() -> None:
    told = ask()
    assert told.words.startswith("Next in:")
    assert told.next_loads[0].start == min(block.start for block in told.blocks if block.kiln)
    assert told.late == ()
    assert told.above_least is not None
    assert told.above_least.value >= 0
    assert told.loads >= told.least_loads
    for rule in told.compared:
        assert told.work is not None
        assert (len(told.late), told.finish) <= (rule.late, rule.finish)


def test_a_date_that_cannot_be_kept_is_named_with_how_much() -> None:
    told = ask(due="2026-03-02 10:00")
    assert told.late
    assert all(late.whatever_is_done for late in told.late)
    assert told.promises[0].missing is not None
    assert "late" in told.words


def test_more_hands_help() -> None:
    told = ask(due="2026-03-03 12:30", piece={"copies": 12})
    assert told.late
    assert any("pair of hands" in words for words in told.would_help)


def test_nobody_works_but_the_work_is_told() -> None:
    told = ask(people=[])
    assert "nobody" in told.words
    assert told.blocks == ()
    assert told.least_work is not None
    assert told.least_work.value > 0


def test_a_piece_larger_than_the_shelf_is_left_out_and_the_rest_planned() -> None:
    data = asked()
    large = copy.deepcopy(data["pieces"][0])
    large["label"] = "tray"
    large["piece"]["outline"]["diameter_mm"] = 500
    data["pieces"].append(large)
    told = QUESTION.ask(data).payload
    assert {name.split(" ")[0] for name, _ in told.left_out} == {"tray"}
    assert told.blocks


@pytest.mark.parametrize(
    "changes",
    [
        {"kilns": [{"name": "slow", "cold_h": 10}]},
        {"hours": ["09:00-09:10"]},
        {"hours": ["09:00-09:30", "21:00-21:01"]},
    ],
)
def test_a_kiln_that_is_never_hot_in_time_is_told(changes: dict[str, Any]) -> None:
    """Ten hours from cold in a day of eight, or a day that is over before the kiln is hot."""
    told = ask(**changes)
    assert told.blocks == ()
    assert told.words.startswith("Nothing can be planned: disc 1: ")
    assert "hot in time" in told.words or "longer than any stretch" in told.words
    assert len(told.left_out) == 6


@pytest.mark.parametrize(
    "changes",
    [
        {"people": [{"name": "me", "away": ["2026-03-01 to 2028-01-01"]}]},
        {"kilns": [{"name": "mended", "not_before": "2027-06-01 10:00"}]},
    ],
)
def test_work_that_never_ends_says_where_to_look(changes: dict[str, Any]) -> None:
    with pytest.raises(OutOfReach, match="does not end within 400 days") as told:
        ask(**changes)
    assert "away" in str(told.value.remedy)


def test_a_date_that_is_over_is_told_with_how_late() -> None:
    told = ask(due="2026-02-01")
    assert len(told.late) == 6
    assert all(each.whatever_is_done and each.by.value > 28 * 24 * 3600 for each in told.late)
    assert told.promises[0].missing is not None
    assert told.promises[0].missing.value == told.promises[0].needed.value, "no hour is left"
    assert told.blocks, "and is planned all the same"


def test_an_earlier_order_is_kept() -> None:
    before = ask()
    kept = [{"members": list(b.members), "start": b.start, "kiln": b.kiln} for b in before.blocks]
    after = ask(kept=kept, now="2026-03-02 09:30", done=2)
    assert len(after.blocks) == len(before.blocks) - 12
    loads = [b.members for b in before.blocks if b.kiln]
    assert [b.members for b in after.blocks if b.kiln] == loads
    assert min(b.start for b in after.blocks) >= "2026-03-02T09:30"


def test_a_kept_order_that_makes_no_sense_is_still_planned() -> None:
    before = ask()
    everything = [name for b in before.blocks for name in b.members]
    kept = [
        {"members": everything[:150], "start": "2026-03-02 12:00"},
        {"members": ["nothing / 7"], "start": "2026-03-02"},
    ]
    told = ask(kept=kept)
    assert sorted(name for b in told.blocks for name in b.members) == sorted(everything)


def test_two_of_one_name_are_told_apart() -> None:
    data = asked()
    data["pieces"].append(copy.deepcopy(data["pieces"][0]))
    told = QUESTION.ask(data).payload
    assert len({name for b in told.blocks for name in b.pieces}) == 12


def test_a_new_piece_finds_its_place_in_a_kept_order() -> None:
    before = ask()
    kept = [{"members": list(b.members), "start": b.start, "kiln": b.kiln} for b in before.blocks]
    data = asked(kept=kept)
    rush = copy.deepcopy(data["pieces"][0])
    rush.update(label="rush")
    rush["piece"]["copies"] = 1
    data["pieces"].append(rush)
    told = QUESTION.ask(data).payload
    assert {name for block in told.blocks for name in block.pieces} == {f"disc {n}" for n in range(1, 7)} | {"rush"}


def test_a_class_shares_the_kiln() -> None:
    data = asked(hours=["18:00-21:30"], people=[{"name": "teacher"}], laying_places=2)
    one = data["pieces"][0]
    one["piece"]["copies"] = 1
    one.pop("due")
    data["pieces"] = [{**copy.deepcopy(one), "label": f"tile {n}", "owner": f"place {n}"} for n in range(6)]
    told = QUESTION.ask(data).payload
    assert all(block.who == ("teacher",) for block in told.blocks if block.kiln)
    assert told.loads < 12


def test_a_control_tile_and_washing_come_first() -> None:
    data = asked(chores=[{"label": "wash the new lot", "hand_min": 20, "drying_h": 2}])
    tile = copy.deepcopy(data["pieces"][0])
    tile.update(label="tile", after=["wash the new lot"])
    tile["piece"]["copies"] = 1
    data["pieces"][0]["after"] = ["tile"]
    data["pieces"].append(tile)
    told = QUESTION.ask(data).payload
    washed = next(b.end for b in told.blocks if b.pieces == ("wash the new lot",))
    laid = min(b.start for b in told.blocks if "tile" in b.pieces and b.work.startswith("sift"))
    assert datetime.fromisoformat(laid) >= datetime.fromisoformat(washed) + timedelta(hours=2)
    assert max(b.end for b in told.blocks if "tile" in b.pieces and b.kiln) <= min(
        b.start for b in told.blocks if "disc 1" in b.pieces and b.work.startswith("sift")
    ), "the tile is out before anything is laid; preparing goes on meanwhile"


def test_an_order_that_bites_its_tail_is_put_aside() -> None:
    data = asked(chores=[{"label": "sweep", "hand_min": 5}])
    for number, label, after in ((0, "a", "b"), (1, "b", "a")):
        if number:
            data["pieces"].append(copy.deepcopy(data["pieces"][0]))
        data["pieces"][number].update(label=label, after=[after])
        data["pieces"][number]["piece"]["copies"] = 1
    told = QUESTION.ask(data).payload
    assert {name for name, _ in told.left_out} == {"a", "b"}
    assert all("circle" in why for _, why in told.left_out)
    assert [b.pieces for b in told.blocks] == [("sweep",)]


def test_a_pin_holds_a_step_back() -> None:
    told = ask(pins=[{"member": "disc 1 / 3", "not_before": "2026-03-02 14:00"}])
    (block,) = (b for b in told.blocks if b.members == ("disc 1 / 3",))
    assert block.start >= "2026-03-02T14:00"
    with pytest.raises(InputError, match="no step is called"):
        ask(pins=[{"member": "disc 9 / 99", "not_before": "2026-03-02 14:00"}])


def wet(**changes: Any) -> dict[str, Any]:
    """One piece whose powder is laid moist, wanted or not."""
    piece = read_piece(EXAMPLES / "fern-pendant.toml").piece.to_outside()
    return {**asked(**changes), "pieces": [{"label": "fern", "piece": {**piece, "copies": 1}}]}


def test_a_pinned_firing_puts_its_wet_coat_off_too() -> None:
    """A coat is not laid today for a firing that is pinned to tomorrow, and held back where the order is kept."""
    first: DayAnswer = QUESTION.ask(wet()).payload
    laid, load = next(
        (a, b) for a in first.blocks for b in first.blocks
        if "wet" in a.work and not a.kiln and b.kiln and int(b.members[0].split("/")[1]) == int(a.members[0].split("/")[1]) + 1
    )  # fmt: skip
    assert first.too_long == ""
    day = datetime.fromisoformat(load.start).date() + timedelta(days=1)
    pins = [{"member": load.members[0], "not_before": f"{day} 16:00"}]
    again: DayAnswer = QUESTION.ask(wet(pins=pins)).payload
    moved = {block.members[0]: block for block in again.blocks}
    assert moved[laid.members[0]].start[:10] == moved[load.members[0]].start[:10] == str(day)
    assert again.too_long == ""
    order = [{"members": one.members, "start": one.start, "kiln": one.kiln} for one in first.blocks]
    kept: DayAnswer = QUESTION.ask(wet(pins=pins, kept=order, tries=0)).payload
    held = {block.members[0]: block for block in kept.blocks}
    assert kept.too_long == ""
    assert held[laid.members[0]].start[:10] == held[load.members[0]].start[:10] == str(day)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"first_day": "2026-02-30"}, "no date"),
        ({"hours": ["17:00-09:00"]}, "ends before"),
        ({"hours": ["soon"]}, "09:00-12:30"),
        ({"hours": ["09:00-12:00", "11:00-13:00"]}, "overlap"),
        ({"due": "next week"}, "no date"),
        ({"rest": ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]}, "day of rest"),
        ({"people": [{"name": "me", "away": ["all day long"]}]}, "absence"),
        ({"kilns": [{"name": "x", "kiln": {"name": "x", "width_mm": 12}}]}, "takes no work"),
    ],
)
def test_bad_input_is_told_in_words(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words):
        ask(**changes)


def test_progress_can_stop_the_search() -> None:
    from enamelwright.craft.bench import Bench
    from enamelwright.questions.day import DayInput, answer

    shares: list[float] = []

    def progress(share: float, words: str) -> bool:
        assert words
        shares.append(share)
        return len(shares) < 3

    found = answer(DayInput.from_outside(asked(tries=500)), Bench.starter(), progress)
    assert len(shares) == 3
    assert found.payload.blocks


def test_that_dates_are_kept_is_said_only_of_a_plan_the_checker_passes(monkeypatch: pytest.MonkeyPatch) -> None:
    from enamelwright.planning.day.checker import Fault
    from enamelwright.questions import day_told

    told = QUESTION.ask(asked(due="2026-03-06"))
    assert "every date is kept" in told.payload.words
    assert any("finds nothing wrong" in line for line in told.because)
    assert told.payload.chance is not None
    assert told.payload.chance.kept.low <= told.payload.chance.kept.value <= told.payload.chance.kept.high
    assert len(told.payload.chance.assumptions) == 2
    monkeypatch.setattr(day_told, "check", lambda *_: [Fault("wait", "the disc is fired wet")])
    told = QUESTION.ask(asked(due="2026-03-06"))
    assert "every date is kept" not in told.payload.words
    assert any("the disc is fired wet" in line for line in told.because)


def test_a_record_narrows_how_sure_the_dates_are() -> None:
    wide = ask(due="2026-03-03 12:00", draws=60).chance
    record = ask(due="2026-03-03 12:00", draws=60, good=196, fired=200).chance
    assert wide is not None
    assert record is not None
    assert record.kept.high - record.kept.low < wide.kept.high - wide.kept.low
    assert "196 of 200 on record" in record.assumptions[0]
    assert "no record yet" in wide.assumptions[0]
    assert ask(draws=0).chance is None
    assert ask(due=None).chance is None, "without dates there is nothing to keep"

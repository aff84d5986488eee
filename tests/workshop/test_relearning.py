"""Learning follows every entry that teaches, keeps what it has learned whole, and never hides that it failed."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import delete, event, func, insert, select, update

from enamelwright.craft.kiln import Kiln
from enamelwright.records.schema.designs import design_version
from enamelwright.records.schema.house import device_entry
from enamelwright.records.schema.learned import posterior
from enamelwright.workshop import relearning
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.history import correct, withdraw
from enamelwright.workshop.jars import change_jar, tell_fact
from enamelwright.workshop.kept_learned import GLOSS_CLOCK, kept_clocks
from enamelwright.workshop.kilns import anchor, keep_kiln, kiln_event_happened
from enamelwright.workshop.loads import begin_load, close_load, look_in, mishap
from enamelwright.workshop.lots import open_lot
from enamelwright.workshop.measures import take_measure
from enamelwright.workshop.people import person
from enamelwright.workshop.pieces import change_piece, start_pieces
from enamelwright.workshop.relearning import catch_up, learned_now, relearn
from enamelwright.workshop.settings import set_setting
from enamelwright.workshop.standing import FIRINGS, MARKS, PAUSE, STANDING, WORK, standing, trouble
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.what_was_learned import kilns_learned
from morning import MORNING, enamel

#: Tables that are made of others, or are the house's own.
OWN = {"posterior", "device_entry", "past_version"}


@pytest.fixture
def taught(studio: Studio, disc: Path) -> Studio:
    """A studio in which discs of one design were fired and timed."""
    version = keep_design(studio, disc).version
    for n in range(3):
        at = MORNING - timedelta(hours=5 - n)
        made = start_pieces(studio.at(at - timedelta(minutes=30)), labels=[f"D{n}"], design=version)[0].id
        for coat, face in ((0, "back"), (1, "front")):
            lay_coat(studio.at(at - timedelta(minutes=20)), made, coat=coat + 1, face=face, method="sift", mesh=80,
                     on_piece="0.3 g", weighed_out="0.4 g")  # fmt: skip
        begun = begin_load(studio.at(at), [made], set_point="800 C", target="gloss")
        close_load(
            studio.at(at + timedelta(minutes=4)), begun.load, seconds="190 s", to_gloss="170 s", stage_seen="gloss"
        )
    assert catch_up(studio)
    assert kept_clocks(studio)
    return studio


def later(studio: Studio, seconds: float) -> Studio:
    """The same studio some time after."""
    return studio.at(studio.clock() + timedelta(seconds=seconds))


def breaks(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Let learning from firings break, and return what it counts its times in."""
    times: list[int] = []

    def broken(_: Studio) -> Any:
        times.append(1)
        raise ZeroDivisionError("the model refuses it")

    monkeypatch.setattr(relearning, "learn", broken)
    return times


# --- what is noticed -----------------------------------------------------------------------------

#: What somebody may write, by the part and the table it is noticed in.
WRITES: dict[tuple[str, str], Callable[[Studio], Any]] = {
    (FIRINGS, "load"): lambda s: correct(s, "load", s_load(s), "misread", seconds="200 s"),
    (FIRINGS, "load_piece"): lambda s: mishap(s, "dropped", piece="D0", load=s_load(s)),
    (FIRINGS, "look"): lambda s: look_in(later(s, 60), begin_load(s, ["D0"]).load, stage_seen="sugar"),
    (FIRINGS, "prediction"): lambda s: begin_load(s, ["D0"]),
    (FIRINGS, "coat_laid"): lambda s: lay_coat(s, "D0", "J04", face="front", on_piece="0.3 g", weighed_out="0.4 g"),
    (FIRINGS, "kiln"): lambda s: keep_kiln(s, Kiln(name="another kiln")),
    (FIRINGS, "kiln_event"): lambda s: kiln_event_happened(s, "thermocouple moved"),
    (FIRINGS, "anchor"): lambda s: anchor(s, "silver", melted=True, shown="960 C"),
    (FIRINGS, "mishap"): lambda s: mishap(s, "dropped", piece="D0", load=s_load(s)),
    (FIRINGS, "jar"): lambda s: change_jar(s, "J04", enamel("J04", "white, base", fusing={"hardness": "hard"})),
    (FIRINGS, "jar_fact"): lambda s: tell_fact(s, "J04", "note", answer="fires clear", origin="told"),
    (FIRINGS, "lot"): lambda s: open_lot(s, "J04", "B", grams="50 g"),
    (WORK, "measure"): lambda s: take_measure(s, "D0", "bow", "0.3 mm", over="25 mm"),
    (WORK, "coat_laid"): lambda s: lay_coat(s, "D0", "J04", face="front", on_piece="0.3 g", weighed_out="0.4 g"),
    (WORK, "piece"): lambda s: change_piece(s, "D0", metal_mass="4 g"),
    (WORK, "design_version"): lambda s: another_version(s),
    (WORK, "jar"): lambda s: change_jar(s, "J04", enamel("J04", "white, base", fusing={"hardness": "hard"})),
    (WORK, "jar_fact"): lambda s: tell_fact(s, "J04", "note", answer="fires clear", origin="told"),
    (WORK, "lot"): lambda s: open_lot(s, "J04", "B", grams="50 g"),
    (WORK, "person"): lambda s: person(s, "somebody new"),
    (WORK, "setting"): lambda s: set_setting(s, "hands", {"balance_step_g": 0.1}),
}


def s_load(studio: Studio) -> int:
    """The first row of the first load."""
    from enamelwright.records.schema.loads import load

    with studio.reading() as connection:
        return int(connection.execute(select(func.min(load.c.id))).scalar_one())


def another_version(studio: Studio) -> int:
    """Keep another version of the one design."""
    with studio.reading() as connection:
        row = connection.execute(select(design_version).order_by(design_version.c.id.desc()).limit(1)).one()
    return studio.add(design_version, design=row.design, number=row.number + 1, piece=row.piece)


def test_every_table_is_written_here() -> None:
    assert set(WRITES) == {(part, table.name) for part, marks in MARKS.items() for table in marks.tables}


@pytest.mark.parametrize(("part", "table"), list(WRITES), ids=lambda one: str(one))
def test_whatever_teaches_is_noticed(taught: Studio, part: str, table: str) -> None:
    """Each table by itself: its own mark moves, or that of what stood in it before."""
    before = MARKS[part].of(taught)
    WRITES[part, table](taught)
    after = MARKS[part].of(taught)
    past, at = 0, 1 + [one.name for one in MARKS[part].tables].index(table)
    kept = MARKS[part].tables[at - 1].info["kind"] == "kept"
    assert after[at] > before[at] or (kept and after[past] > before[past])
    catch_up(taught)
    assert standing(taught, part).marks == after
    assert not standing(taught, part).since


def test_whatever_is_read_to_learn_is_watched(taught: Studio) -> None:
    """A table somebody learns from, and that is not among the marks, would go unnoticed."""
    take_measure(taught, "D0", "bow", "0.3 mm", over="25 mm")
    mishap(taught, "dropped", piece="D1")
    kiln_event_happened(taught, "thermocouple moved")
    known = bench(taught)  # what the bench itself is made of it has marks of its own for
    read: set[str] = set()

    def heard(_c: Any, _k: Any, statement: str, *_: Any) -> None:
        read.update(re.findall(r"(?:FROM|JOIN)\s+\"?([a-z_]+)", statement))

    event.listen(taught.store.engine, "before_cursor_execute", heard)
    try:
        found = relearning.learn(taught)
        kilns_learned(taught, found)
        firings, _ = set(read), read.clear()
        relearning.learned_bows(taught, known)
        relearning.learned_hands(taught, known)
    finally:
        event.remove(taught.store.engine, "before_cursor_execute", heard)
    assert {"load", "prediction", "mishap"} <= firings <= {one.name for one in MARKS[FIRINGS].tables} | OWN
    assert {"coat_laid", "measure"} <= read <= {one.name for one in MARKS[WORK].tables} | OWN


def test_what_teaches_nothing_is_not_learned_from_again(taught: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    """A load that only went in, a lot that was opened: noticed, and cheap."""
    times = breaks(monkeypatch)
    assert not catch_up(taught)
    begin_load(taught, ["D0"])
    assert not catch_up(taught)
    assert not times
    assert trouble(taught) is None
    found, _ = learned_now(taught)
    assert found is not None
    assert found.left_out == relearning.stage_records(taught)[1] != {}  # and is told as it is now


@pytest.mark.parametrize("taken_back", [False, True])
def test_a_correction_and_a_withdrawal_are_learned_from(taught: Studio, taken_back: bool) -> None:
    (before,) = [one for one in kept_clocks(taught) if not one.jar]
    if taken_back:
        withdraw(taught, "load", s_load(taught), "it was another one")
    else:
        correct(taught, "load", s_load(taught), "misread", to_gloss="100 s")
    assert catch_up(taught)
    (after,) = [one for one in kept_clocks(taught) if not one.jar]
    assert (after.firings < before.firings) if taken_back else (after.decades != before.decades)


def test_what_is_known_of_a_kiln_fades_from_day_to_day(taught: Studio) -> None:
    assert not catch_up(later(taught, 60))
    assert catch_up(later(taught, 30 * 86400))
    assert standing(taught, FIRINGS).day == (MORNING + timedelta(days=30)).date().isoformat()


def test_a_day_on_paper_is_learned_from_as_of_today(taught: Studio) -> None:
    """Whoever tells of a day long ago goes by what is known now, and learning is not done for that day."""
    told = replace(taught, clock=lambda: MORNING - timedelta(days=90))
    assert not catch_up(told)


# --- what is kept --------------------------------------------------------------------------------


def posteriors(studio: Studio) -> list[Any]:
    with studio.reading() as connection:
        wanted = select(posterior).where(posterior.c.quantity == GLOSS_CLOCK).order_by(posterior.c.id)
        return list(connection.execute(wanted))


def test_a_row_that_cannot_be_read_is_left_out_and_made_anew(taught: Studio) -> None:
    good = kept_clocks(taught)
    with taught.writing() as work:
        work.connection.execute(delete(posterior).where(posterior.c.quantity == "hand"))
        first = posteriors(taught)[0]
        figures = {**first.figures, "sd": 99.0}
        work.connection.execute(update(posterior).where(posterior.c.id == first.id).values(figures=figures))
        row = {"made_at": taught.now(), "engine": "older", "of_table": "bow", "from_records": []}
        for quantity, content in (("bow", {"metal": 3}), ("hand", []), ("hand", {"what": "loss"})):
            work.connection.execute(insert(posterior).values(**row, quantity=quantity, figures=content))
    known = bench(taught)
    assert known.learned_clocks == good[1:]
    assert known.learned_bows == known.learned_hands == ()
    # The next process that looks finds it: as if this one began.
    relearning._all.pop(taught.store)
    catch_up(taught)
    assert kept_clocks(taught) == good


def test_an_older_result_never_replaces_a_newer_one(taught: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody corrects a load while it is learned from: what came out is dropped."""
    learn = relearning.learn
    before = posteriors(taught)

    def meanwhile(studio: Studio) -> Any:
        found = learn(studio)
        done = threading.Thread(target=lambda: correct(taught, "load", s_load(taught), "again", to_gloss="90 s"))
        done.start()
        done.join()
        return found

    correct(taught, "load", s_load(taught), "misread", to_gloss="100 s")
    monkeypatch.setattr(relearning, "learn", meanwhile)
    catch_up(taught)
    assert posteriors(taught) == before
    monkeypatch.setattr(relearning, "learn", learn)
    assert catch_up(taught)
    assert posteriors(taught) != before
    assert kept_clocks(taught) == learn(taught).clocks


def test_where_it_comes_from_is_kept_though_no_figure_moves(taught: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    with taught.writing() as work:
        work.connection.execute(
            update(posterior).where(posterior.c.quantity == GLOSS_CLOCK).values(from_records=[9999], engine="older")
        )
    relearn(taught)
    for row in posteriors(taught):
        assert row.engine == relearning.engine()
        assert row.from_records
        assert 9999 not in row.from_records
    entries = select(func.count()).select_from(device_entry)
    with taught.reading() as connection:
        before = connection.execute(entries).scalar_one()
    relearn(taught)  # nothing has changed, and nothing is written down as if it had
    with taught.reading() as connection:
        assert connection.execute(entries).scalar_one() == before


def test_tables_of_another_day_are_learned_with_anew(taught: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    from enamelwright.workshop import standing as standing_file

    for place in (relearning, standing_file):
        monkeypatch.setattr(place, "engine", lambda: "enamelwright of tomorrow")
    assert catch_up(taught)
    assert {row.engine for row in posteriors(taught)} == {"enamelwright of tomorrow"}


# --- one at a time, and once ---------------------------------------------------------------------


def test_it_is_learned_once_whoever_asks(taught: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    learn, times = relearning.learn, []

    def counted(studio: Studio) -> Any:
        times.append(1)
        return learn(studio)

    monkeypatch.setattr(relearning, "learn", counted)
    correct(taught, "load", s_load(taught), "misread", to_gloss="100 s")
    visitors = [threading.Thread(target=lambda: found.append(learned_now(taught)[0])) for _ in range(3)]
    found: list[Any] = []
    for one in visitors:
        one.start()
    for one in visitors:
        one.join()
    assert len(times) == 1
    assert all(one is found[0] for one in found)
    assert found[0].clocks == kept_clocks(taught)


def test_what_another_process_learned_is_not_taken_for_ones_own(taught: Studio) -> None:
    """The terminal learned and kept it: the pages, which show more than is kept, learn it too."""
    mine = relearning._all[taught.store]
    relearning._all[taught.store] = relearning._Held()
    correct(taught, "load", s_load(taught), "misread", to_gloss="100 s")
    assert catch_up(taught)
    relearning._all[taught.store] = mine
    assert not catch_up(taught)
    found, _ = learned_now(taught)
    assert found is not None
    assert found.clocks == kept_clocks(taught)


def test_nobody_waits_for_somebody_who_is_learning(taught: Studio) -> None:
    held, _ = relearning._of(taught)
    correct(taught, "load", s_load(taught), "misread", to_gloss="100 s")
    with held.at_it:
        assert not catch_up(taught)
    with taught.writing():
        assert not catch_up(taught)
    assert catch_up(taught)


def test_a_bench_is_caught_up_with_where_nothing_learns_beside_it(taught: Studio) -> None:
    asked: list[Studio] = []

    def first(studio: Studio) -> None:
        asked.append(studio)
        catch_up(studio)

    alone = replace(taught, before_bench=first)
    correct(taught, "load", s_load(taught), "misread", to_gloss="100 s")
    assert bench(taught).learned_clocks != bench(alone).learned_clocks == relearning.learn(taught).clocks
    assert len(asked) == 1
    with alone.writing():
        bench(alone)
    assert len(asked) == 1


# --- when it fails -------------------------------------------------------------------------------


def test_a_failure_is_noted_told_and_tried_again_after_a_growing_pause(
    taught: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    good, learned = kept_clocks(taught), standing(taught, FIRINGS).learned
    learn, times = relearning.learn, breaks(monkeypatch)
    correct(taught, "load", s_load(taught), "misread", to_gloss="100 s")
    assert not catch_up(taught)
    fails = trouble(taught)
    assert fails is not None
    assert (fails.since, fails.learned) == (taught.now(), learned)
    said = fails.words(lambda moment: moment[:10], shown=True)
    assert said.count(".") == 2
    assert f"failed since {taught.now()[:10]}; what is shown, and what windows go by, is of {learned[:10]}" in said
    assert kept_clocks(taught) == good
    catch_up(later(taught, PAUSE / 2))
    assert len(times) == 1
    catch_up(later(taught, PAUSE * 1.5))
    assert len(times) == 2
    catch_up(later(taught, PAUSE * 2.9))  # a minute and a half later, where two minutes are to pass
    assert len(times) == 2
    catch_up(later(taught, PAUSE * 4))
    assert len(times) == 3
    assert trouble(taught) == fails
    # What is learned from has changed: at once.
    correct(taught, "load", s_load(taught), "misread again", to_gloss="120 s")
    catch_up(later(taught, PAUSE * 4.1))
    assert len(times) == 4
    monkeypatch.setattr(relearning, "learn", learn)
    assert catch_up(later(taught, 3600))
    assert trouble(taught) is None
    assert kept_clocks(taught) != good


def test_what_cannot_be_read_at_all_fails_the_same_way(taught: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: Studio) -> Any:
        raise KeyError("window")

    correct(taught, "load", s_load(taught), "misread", to_gloss="100 s")
    monkeypatch.setattr(relearning, "stage_records", broken)
    before = kept_clocks(taught)
    found, fails = learned_now(taught)
    assert fails is not None
    assert found is None or found.clocks == before
    assert kept_clocks(taught) == before


def test_hands_are_learned_though_firings_fail(taught: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    breaks(monkeypatch)
    correct(taught, "load", s_load(taught), "misread", to_gloss="100 s")
    with taught.writing() as work:
        work.connection.execute(delete(posterior).where(posterior.c.quantity == STANDING, posterior.c.of_table == WORK))
        work.connection.execute(delete(posterior).where(posterior.c.quantity == "hand"))
    relearning._all.pop(taught.store)
    catch_up(taught)
    assert bench(taught).learned_hands
    assert trouble(taught) is not None

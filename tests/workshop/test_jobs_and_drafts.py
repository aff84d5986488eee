"""Long work, cut off and taken up again; and what is being typed, with Undo."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from datetime import timedelta
from typing import Any

import pytest

from enamelwright.errors import InputError
from enamelwright.records.errors import Conflict, RecordError
from enamelwright.workshop import jobs
from enamelwright.workshop.drafts import draft, drafts, drop_drafts, save_draft, undo
from enamelwright.workshop.studio import Studio
from morning import MORNING


@pytest.fixture(autouse=True)
def kinds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three kinds of work: one that counts, one that refuses, one that breaks."""

    def count(studio: Studio, asked: Mapping[str, Any], progress: jobs.Progress) -> Mapping[str, Any]:
        done = 0
        for n in range(asked["to"]):
            if not progress(n / asked["to"], f"at {n}"):
                break
            done += 1
        return {"counted": done}

    def refuse(*_: Any) -> Mapping[str, Any]:
        raise InputError("there is nothing to lay out.", "Add a blank.")

    def broken(*_: Any) -> Mapping[str, Any]:
        raise ZeroDivisionError

    monkeypatch.setattr(jobs, "_WORK", {"count": count, "refuse": refuse, "broken": broken})
    monkeypatch.setattr(jobs, "BEAT", 0.0)


def test_a_job_is_done_and_says_so(studio: Studio) -> None:
    row = jobs.ask_for(studio, "count", {"to": 3})
    assert jobs.job(studio, row).state == "waiting"
    assert jobs.work_once(studio)
    done = jobs.job(studio, row)
    assert (done.state, done.fraction, done.result) == ("done", 1.0, {"counted": 3})
    assert not jobs.work_once(studio)
    with pytest.raises(RecordError):
        jobs.ask_for(studio, "fly", {})
    with pytest.raises(RecordError):
        jobs.job(studio, 99)


def test_a_job_that_fails_leaves_its_sentence_and_the_worker_goes_on(studio: Studio) -> None:
    rows = [jobs.ask_for(studio, kind, {"to": 1}) for kind in ("refuse", "broken", "count")]
    while jobs.work_once(studio):
        pass
    assert [jobs.job(studio, row).state for row in rows] == ["failed", "failed", "done"]
    assert jobs.job(studio, rows[0]).words == "there is nothing to lay out. Add a blank."


def test_a_running_job_stops_at_its_next_beat(studio: Studio) -> None:
    row = jobs.ask_for(studio, "count", {"to": 1000})
    assert jobs.claim(studio) is not None
    assert jobs.beat(studio, row, 0.1, "at it")
    assert jobs.stop(studio, row)
    assert not jobs.beat(studio, row, 0.2, "at it")
    assert not jobs.stop(studio, row)
    assert jobs.job(studio, row).state == "stopped"


def test_a_job_cut_off_begins_again(studio: Studio) -> None:
    row = jobs.ask_for(studio, "count", {"to": 2})
    assert jobs.claim(studio) is not None  # and now the worker is killed
    assert jobs.take_up_again(studio) == 0  # it was heard of a moment ago
    later = studio.at(MORNING + timedelta(seconds=2 * jobs.SILENT))
    assert jobs.take_up_again(later) == 1
    assert jobs.work_once(later)
    assert jobs.job(studio, row).state == "done"


def test_two_workers_never_take_one_job(studio: Studio) -> None:
    for _ in range(6):
        jobs.ask_for(studio, "count", {"to": 1})
    taken: list[int] = []

    def take() -> None:
        while (one := jobs.claim(studio)) is not None:
            taken.append(one.id)

    threads = [threading.Thread(target=take) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(taken) == list(range(1, 7))


def test_undo_goes_back_step_by_step(studio: Studio) -> None:
    subject = "design:Ripple stud"
    assert draft(studio, subject) is None
    first = save_draft(studio, subject, {"coats": 1})
    assert save_draft(studio, subject, {"coats": 1}) == first  # nothing new was typed
    second = save_draft(studio, subject, {"coats": 2}, seen=first)
    save_draft(studio, "another", {})
    with pytest.raises(Conflict) as conflict:
        save_draft(studio, subject, {"coats": 9}, seen=first)
    assert conflict.value.theirs == {"content": {"coats": 2}}
    newest = draft(studio, subject)
    assert newest is not None
    assert newest.id == second
    back = undo(studio, subject)
    assert back is not None
    assert back.content == {"coats": 1}
    assert undo(studio, subject) is None
    assert [row.subject for row in drafts(studio)] == ["another", subject]
    assert drop_drafts(studio, subject) == 1

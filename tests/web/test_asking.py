"""Long questions are answered by a worker process, which ends with its server; nothing heavy is loaded here."""

from __future__ import annotations

import sys

import pytest

from enamelwright.errors import InputError
from enamelwright.questions.question import question
from enamelwright.workshop import jobs
from enamelwright.workshop.asking import ask_later
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.worker import Worker, kinds, wait_for

BLANKS = {**question("blanks").example, "seconds": 1}


def test_a_worker_answers_what_the_server_must_not(studio: Studio) -> None:
    row = ask_later(studio, "blanks", BLANKS, kept="beside")
    before = "spyrrow" in sys.modules
    worker = Worker(studio)
    try:
        worker.wake()
        worker.wake()  # twice is once
        assert wait_for(studio, row, 300)
    finally:
        worker.close()
    done = jobs.job(studio, row)
    assert done.state == "done", done.words
    assert done.result["question"] == "blanks"
    assert done.asked["kept"] == "beside"
    assert sum(len(sheet["blanks"]) for sheet in done.result["payload"]["sheets"]) == 12
    assert ("spyrrow" in sys.modules) == before
    worker.wake()  # after the end it stays ended


def test_a_slip_is_told_before_a_worker_is_asked(studio: Studio) -> None:
    with pytest.raises(InputError):
        ask_later(studio, "blanks", {"blanks": []})
    assert kinds()[0] == "ask"


def test_what_is_stopped_stays_stopped(studio: Studio) -> None:
    row = ask_later(studio, "blanks", BLANKS)
    assert jobs.stop(studio, row)
    assert not jobs.work_once(studio)
    assert jobs.job(studio, row).state == "stopped"


def test_only_heavy_inputs_need_the_worker() -> None:
    asked = question("blanks")
    assert asked.needs_worker(BLANKS)
    assert not asked.needs_worker(asked.example)
    assert not question("shelf").needs_worker(question("shelf").example)

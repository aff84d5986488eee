"""Long work and the one worker that does it: claimed, beating, stopped on request, taken up again after a crash."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Collection, Mapping
from datetime import timedelta
from typing import Any

from sqlalchemy import Row, insert, select, update

from enamelwright.errors import EnamelwrightError
from enamelwright.records.errors import RecordError
from enamelwright.records.schema.house import job as job_table
from enamelwright.records.writing import moment
from enamelwright.workshop.studio import Studio

#: Says how far a job is (0 to 1) and what it is at; answers whether to go on.
Progress = Callable[[float, str], bool]
#: Does one kind of job: (studio, what was asked, progress) -> result.
Work = Callable[[Studio, Mapping[str, Any], Progress], Mapping[str, Any]]

#: A running job that has not been heard of for this long was cut off [s].
SILENT = 60.0
#: A beat is written at most this often [s].
BEAT = 1.0
#: How long the worker waits for the next job [s].
PAUSE = 0.5

_WORK: dict[str, Work] = {}


def does(kind: str) -> Callable[[Work], Work]:
    """Register the function that does one kind of job.

    Parameters
    ----------
    kind : str
        Its kind.
    """

    def register(work: Work) -> Work:
        _WORK[kind] = work
        return work

    return register


def ask_for(studio: Studio, kind: str, asked: Mapping[str, Any]) -> int:
    """Ask for long work and return the job.

    Parameters
    ----------
    studio : Studio
        The studio.
    kind : str
        A kind somebody has registered.
    asked : mapping
        What is asked, as plain JSON.
    """
    if kind not in _WORK:
        raise RecordError(f"nobody does '{kind}'.", f"Known: {', '.join(sorted(_WORK)) or 'nothing'}.")
    with studio.writing() as work:
        key = work.connection.execute(
            insert(job_table).values(kind=kind, state="waiting", fraction=0.0, asked=dict(asked), made_at=studio.now())
        ).inserted_primary_key
        assert key is not None
        return int(key[0])


def job(studio: Studio, row: int) -> Row[Any]:
    """Return a job.

    Raises
    ------
    RecordError
        When there is none.
    """
    with studio.reading() as connection:
        found = connection.execute(select(job_table).where(job_table.c.id == row)).one_or_none()
    if found is None:
        raise RecordError(f"there is no job {row}.")
    return found


def going_on(studio: Studio, kinds: Collection[str]) -> list[Row[Any]]:
    """List the jobs of some kinds that wait or run, the newest first."""
    rows = select(job_table).where(job_table.c.state.in_(("waiting", "running")), job_table.c.kind.in_(list(kinds)))
    with studio.reading() as connection:
        return list(connection.execute(rows.order_by(job_table.c.id.desc())))


def stop(studio: Studio, row: int) -> bool:
    """Ask a job to stop and return whether it was still to do; a running one ends at its next beat."""
    with studio.writing() as work:
        done = work.connection.execute(
            update(job_table)
            .where(job_table.c.id == row, job_table.c.state.in_(("waiting", "running")))
            .values(state="stopped", words="stopped on request")
        )
        return bool(done.rowcount)


def take_up_again(studio: Studio) -> int:
    """Let jobs that were cut off wait for the worker again, and return how many there were."""
    silent_since = moment(studio.clock() - timedelta(seconds=SILENT))
    cut_off = (job_table.c.state == "running", job_table.c.beat_at < silent_since)
    with studio.reading() as connection:  # asking often must not write often
        if connection.execute(select(job_table.c.id).where(*cut_off).limit(1)).first() is None:
            return 0
    with studio.writing() as work:
        done = work.connection.execute(
            update(job_table).where(*cut_off).values(state="waiting", fraction=0.0, words="cut off; begins again")
        )
        return int(done.rowcount)


def claim(studio: Studio) -> Row[Any] | None:
    """Take the oldest waiting job and return it; None when nothing waits. No job is taken twice."""
    first = (
        select(job_table.c.id)
        .where(job_table.c.state == "waiting", job_table.c.kind.in_(_WORK))
        .order_by(job_table.c.id)
        .limit(1)
    )
    with studio.reading() as connection:  # asking often must not write often
        if connection.execute(first).first() is None:
            return None
    with studio.writing() as work:
        waiting = work.connection.execute(first).scalar()
        if waiting is None:
            return None
        work.connection.execute(
            update(job_table)
            .where(job_table.c.id == waiting, job_table.c.state == "waiting")
            .values(state="running", beat_at=studio.now())
        )
        return job(studio, waiting)


def beat(studio: Studio, row: int, fraction: float, words: str) -> bool:
    """Say how far a job is, and return whether it should go on.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : int
        The job.
    fraction : float
        Part that is done, 0 to 1.
    words : str
        What it is at.
    """
    with studio.writing() as work:
        done = work.connection.execute(
            update(job_table)
            .where(job_table.c.id == row, job_table.c.state == "running")
            .values(fraction=min(max(fraction, 0.0), 1.0), words=words, beat_at=studio.now())
        )
        return bool(done.rowcount)


def work_once(studio: Studio) -> bool:
    """Do the next job if there is one, and return whether there was.

    A job that fails on purpose keeps its one sentence; one that fails otherwise says so and ends the
    worker no more than the first.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    taken = claim(studio)
    if taken is None:
        return False
    last = [0.0]

    def progress(fraction: float, words: str) -> bool:
        now = time.monotonic()
        if now - last[0] < BEAT and fraction < 1:  # the last word is always heard
            return True
        last[0] = now
        return beat(studio, taken.id, fraction, words)

    try:
        result = dict(_WORK[taken.kind](studio, taken.asked or {}, progress))
        _end(studio, taken.id, state="done", fraction=1.0, result=result, words="")
    except EnamelwrightError as error:
        _end(studio, taken.id, state="failed", words=str(error))
    except Exception as error:
        logging.getLogger(__name__).exception("the work on %s broke", taken.kind)
        _end(studio, taken.id, state="failed", words=f"it broke ({type(error).__name__})")
    return True


def _end(studio: Studio, row: int, **values: Any) -> None:
    """Write how a job ended, unless it was stopped meanwhile."""
    with studio.writing() as work:
        work.connection.execute(
            update(job_table).where(job_table.c.id == row, job_table.c.state == "running").values(**values)
        )

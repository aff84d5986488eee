"""Of which state of the record was learned last, and since when learning fails."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy import Connection, delete, insert, select

from enamelwright.questions.question import engine
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.designs import design_version
from enamelwright.records.schema.house import setting
from enamelwright.records.schema.jars import jar, jar_fact, lot
from enamelwright.records.schema.kilns import anchor, kiln, kiln_event
from enamelwright.records.schema.learned import posterior
from enamelwright.records.schema.loads import load, load_piece, look, prediction
from enamelwright.records.schema.people import person
from enamelwright.records.schema.pieces import measure, mishap, piece
from enamelwright.workshop.marks import Marks
from enamelwright.workshop.studio import Studio

#: The two parts that are learned apart: kilns and jars from firings, and hands and strips from work at the bench.
FIRINGS, WORK = "firings", "work"
#: All that each of them is learned from, and told by.
MARKS = {
    FIRINGS: Marks(load, load_piece, look, prediction, coat_laid, kiln, kiln_event, anchor, mishap, jar, jar_fact, lot),
    WORK: Marks(measure, coat_laid, piece, design_version, jar, jar_fact, lot, person, setting),
}
#: What the row is called that says of which record was learned.
STANDING = "standing"
#: It is tried again so long after the first failure, twice as long after each other, and at most so long [s].
PAUSE, LONGEST_PAUSE = 60.0, 6 * 3600.0


@dataclass(frozen=True)
class Standing:
    """How far one part has learned.

    Attributes
    ----------
    marks : tuple of int
        Of the record that was looked at last.
    day : str
        On which that was; what is known of a kiln fades from day to day.
    source : str
        Digest of all that was learned from; the same after a change that teaches nothing.
    learned : str
        When something was learned last, as the record writes moments; empty if nothing was.
    since, tried : str
        Since when learning fails, and when it was tried last; empty while it works.
    tries : int
        How often it failed.
    engine : str
        Version and tables it was learned with.
    """

    marks: tuple[int, ...] = ()
    day: str = ""
    source: str = ""
    learned: str = ""
    since: str = ""
    tried: str = ""
    tries: int = 0
    engine: str = ""

    def is_of(self, marks: tuple[int, ...], day: str) -> bool:
        """Whether it learned from this very record on this day, with the tables of today."""
        return not self.since and (self.marks, self.day, self.engine) == (marks, day, engine())

    def failed(self, source: str, now: str) -> Standing:
        """Return what stands after another failure."""
        return replace(self, source=source, since=self.since or now, tried=now, tries=self.tries + 1)

    def rests(self, source: str, now: datetime) -> bool:
        """Whether learning failed of the same record so lately that it is not tried again yet."""
        if not self.since or self.source != source:
            return False
        pause = min(PAUSE * 2 ** min(self.tries - 1, 30), LONGEST_PAUSE)
        return now < datetime.fromisoformat(self.tried) + timedelta(seconds=pause)


@dataclass(frozen=True)
class Trouble:
    """Learning fails.

    Attributes
    ----------
    since : str
        Since when, as the record writes moments.
    learned : str
        When what is shown was learned; empty if nothing was.
    """

    since: str
    learned: str

    def words(self, when: Callable[[str], str], *, shown: bool = False) -> str:
        """Say it in one line.

        Parameters
        ----------
        when : callable
            Writes a moment of the record.
        shown : bool
            Whether what was learned is shown there.
        """
        what = "what is shown, and what windows go by," if shown else "what windows go by"
        before = f"{what} is of {when(self.learned)}" if self.learned else "nothing was learned before"
        return f"Learning from the record has failed since {when(self.since)}; {before}. It is tried again by itself."


def standing(studio: Studio, part: str) -> Standing:
    """Return how far a part has learned.

    Parameters
    ----------
    studio : Studio
        The studio.
    part : str
        ``firings`` or ``work``.
    """
    wanted = select(posterior.c.figures, posterior.c.engine).where(
        posterior.c.quantity == STANDING, posterior.c.of_table == part
    )
    with studio.reading() as connection:
        row = connection.execute(wanted.order_by(posterior.c.id.desc()).limit(1)).one_or_none()
    if row is None:
        return Standing()
    try:
        told = Standing(**row.figures, engine=row.engine)
        return replace(told, marks=tuple(told.marks))
    except TypeError:  # of another version
        return Standing()


def stand(connection: Connection, part: str, told: Standing, now: str) -> None:
    """Write down how far a part has learned, in place of what stood there.

    Parameters
    ----------
    connection : Connection
        Of a transaction that writes.
    part : str
        ``firings`` or ``work``.
    told : Standing
        What stands now.
    now : str
        The present moment.
    """
    figures = {name: one for name, one in asdict(told).items() if name != "engine"}
    connection.execute(delete(posterior).where(posterior.c.quantity == STANDING, posterior.c.of_table == part))
    connection.execute(
        insert(posterior).values(
            made_at=now, engine=told.engine, of_table=part, quantity=STANDING, figures=figures, from_records=[]
        )
    )


@contextmanager
def noting(studio: Studio) -> Iterator[Connection]:
    """Give a transaction for what only the learning needs; it leaves no entry, for nothing of the studio changes.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    if studio.is_writing:
        with studio.writing() as work:
            yield work.connection
        return
    with studio.store.keeping_house() as connection:
        yield connection


def trouble(studio: Studio) -> Trouble | None:
    """Return since when learning fails; None while it works.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    failing = [one for one in (standing(studio, part) for part in MARKS) if one.since]
    if not failing:
        return None
    first = min(failing, key=lambda one: one.since)
    return Trouble(first.since, first.learned)

"""What somebody is still typing; every change is a draft, and Undo goes back to the one before."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Row, delete, insert, select

from enamelwright.records.errors import Conflict
from enamelwright.records.schema.house import draft as draft_table
from enamelwright.workshop.studio import Studio

#: Steps of Undo that are kept for one subject.
MOST_STEPS = 200


def save_draft(studio: Studio, subject: str, content: Any, seen: int | None = None, steps: int = MOST_STEPS) -> int:
    """Save the next draft of a subject and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    subject : str
        What is being typed, e.g. ``design:Ripple stud``.
    content : JSON
        All of it.
    seen : int, optional
        The draft it was made from; somebody else's newer draft is not run over.
    steps : int
        Steps of Undo that are kept.

    Raises
    ------
    Conflict
        When `seen` is not the newest draft; carries both.
    """
    with studio.writing() as work:
        last = _newest(work.connection, subject)
        newest = last.id if last is not None else None
        if seen is not None and seen != newest:
            raise Conflict(
                "somebody typed here first.", "Look at both and save again.", subject,
                mine={"content": content}, theirs={"content": last.content if last is not None else None},
            )  # fmt: skip
        if last is not None and last.content == content:
            return int(last.id)
        key = work.connection.execute(
            insert(draft_table).values(subject=subject, before=newest, at=studio.now(), content=content)
        ).inserted_primary_key
        assert key is not None
        rows = select(draft_table.c.id).where(draft_table.c.subject == subject).order_by(draft_table.c.id.desc())
        oldest = work.connection.execute(rows.offset(steps - 1).limit(1)).scalar()
        if oldest is not None:
            work.connection.execute(
                delete(draft_table).where(draft_table.c.subject == subject, draft_table.c.id < oldest)
            )
        return int(key[0])


def draft(studio: Studio, subject: str) -> Row[Any] | None:
    """Return the newest draft of a subject; None when there is none."""
    with studio.reading() as connection:
        return _newest(connection, subject)


def undo(studio: Studio, subject: str) -> Row[Any] | None:
    """Go back to the draft before, and return it; None when there is nothing before it."""
    with studio.writing() as work:
        last = _newest(work.connection, subject)
        if last is None or last.before is None:
            return None
        work.connection.execute(delete(draft_table).where(draft_table.c.id == last.id))
        return _newest(work.connection, subject)


def drop_drafts(studio: Studio, subject: str) -> int:
    """Forget the drafts of a subject, once it is kept, and return how many there were."""
    with studio.writing() as work:
        return int(work.connection.execute(delete(draft_table).where(draft_table.c.subject == subject)).rowcount)


def drafts(studio: Studio) -> list[Row[Any]]:
    """List the newest draft of every subject, by subject."""
    newest = select(draft_table.c.id).where(draft_table.c.id.in_(select(_max_id()).group_by(draft_table.c.subject)))
    with studio.reading() as connection:
        return list(
            connection.execute(select(draft_table).where(draft_table.c.id.in_(newest)).order_by(draft_table.c.subject))
        )


def _max_id() -> Any:
    from sqlalchemy import func

    return func.max(draft_table.c.id)


def _newest(connection: Connection, subject: str) -> Row[Any] | None:
    return connection.execute(
        select(draft_table).where(draft_table.c.subject == subject).order_by(draft_table.c.id.desc()).limit(1)
    ).one_or_none()

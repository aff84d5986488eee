"""Tables as declared and tables as migrated are the same, on both databases; earlier versions come up to date."""

from __future__ import annotations

import contextlib
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from sqlalchemy import Connection, Engine, func, insert, inspect, select
from sqlalchemy import text as sql

from enamelwright.records import guards, migrate
from enamelwright.records.errors import ForeignRecord, NoRoom, RecordError
from enamelwright.records.home import Home
from enamelwright.records.kinds import metadata, tables
from enamelwright.records.opening import open_store
from enamelwright.records.store import APPLICATION_ID, Store, connect
from enamelwright.records.writing import Author


def triggers(connection: Connection) -> dict[str, str]:
    """Every trigger with what it does and the functions they call; on SQLite every index too, as it was made."""
    if connection.dialect.name == "sqlite":
        made = sql("SELECT name, sql FROM sqlite_master WHERE type IN ('trigger', 'index') AND sql IS NOT NULL")
        return dict(connection.execute(made).all())
    own = connection.execute(sql("SELECT tgname, pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal"))
    called = connection.execute(sql("SELECT proname, prosrc FROM pg_proc WHERE pronamespace = 'public'::regnamespace"))
    return dict(own.all()) | dict(called.all())


def shape(connection: Connection) -> dict[str, Any]:
    """All a database says of its tables, in an order that does not depend on how they came about."""
    look = inspect(connection)
    found: dict[str, Any] = {"triggers": triggers(connection)}
    if connection.dialect.name == "sqlite":
        listed = connection.exec_driver_sql("PRAGMA table_list").mappings()
        found["strict"] = {row["name"] for row in listed if row["strict"] and row["name"] != migrate.VERSION_TABLE}
    for name in set(look.get_table_names()) - {migrate.VERSION_TABLE}:
        columns = {c["name"]: {**c, "type": str(c["type"])} for c in look.get_columns(name)}
        parts = (
            look.get_pk_constraint(name),
            *look.get_foreign_keys(name),
            *look.get_unique_constraints(name),
            *look.get_check_constraints(name),
            *(
                {**i, "dialect_options": sorted((k, str(v)) for k, v in i.get("dialect_options", {}).items())}
                for i in look.get_indexes(name)
            ),
        )
        found[name] = (columns, sorted(map(repr, parts)))
    return found


def declare(engine: Engine) -> None:
    """Make everything straight from the declarations, without any migration."""
    with engine.begin() as connection:
        metadata.create_all(connection)
        if connection.dialect.name != "sqlite":
            connection.exec_driver_sql(guards.POSTGRESQL_FUNCTION.replace("%", "%%"))
        for table in tables():
            for _, statement in guards.guards(table, connection.dialect.name):
                connection.exec_driver_sql(statement)


@pytest.mark.filterwarnings("ignore:.*expression-based index")
def test_declared_and_migrated_are_the_same(bare_home: Home) -> None:
    store = open_store(bare_home)
    with store.reading() as view:
        migrated = shape(view)
    if store.on_sqlite:
        store.close()
        bare_home.database.unlink()
        store = connect(bare_home)
    else:
        with store.engine.begin() as connection:
            connection.execute(sql("DROP SCHEMA public CASCADE"))
            connection.execute(sql("CREATE SCHEMA public"))
    declare(store.engine)
    with store.reading() as view:
        declared = shape(view)
    store.close()
    assert migrated == declared
    assert len(migrated) > len(tables())


@pytest.mark.filterwarnings("ignore:.*expression-based index")  # compared above, as they were made
def test_alembic_sees_no_difference(store: Store) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.runtime.migration import MigrationContext

    with store.reading() as view:
        context = MigrationContext.configure(view, opts={"compare_type": True, "compare_server_default": True})
        assert compare_metadata(context, metadata) == []


def test_what_is_known_without_alembic_is_what_the_revisions_say() -> None:
    from alembic.script import ScriptDirectory

    folder = str(migrate.FOLDER)
    script = ScriptDirectory(folder, version_locations=[f"{folder}/versions"])
    assert tuple(one.revision for one in reversed(list(script.walk_revisions()))) == migrate.REVISIONS
    assert script.get_heads() == [migrate.HEAD]


def test_opening_an_up_to_date_record_loads_no_alembic(store: Store) -> None:
    home = store.home
    code = (
        "import sys; from pathlib import Path; from enamelwright.records.home import Home; "
        "from enamelwright.records.opening import open_store; "
        f"open_store(Home(Path({str(home.folder)!r}), {home.url!r})); sys.exit('alembic' in sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def some_rows(store: Store) -> None:
    """What the first version could hold."""
    engine = store.engine
    kept = {"version": 1, "made_at": "2026-01-01T00:00:00.000Z", "changed_at": "2026-01-01T00:00:00.000Z"}
    with engine.begin() as connection:
        for number in range(20):
            row = {"label": f"maker {number}", **kept, "put_away": False}
            connection.execute(insert(metadata.tables["person"]).values(row))


@pytest.mark.parametrize("version", migrate.REVISIONS[:-1])
def test_an_earlier_version_comes_up_to_date_after_a_verified_snapshot(bare_home: Home, version: str) -> None:
    old = connect(bare_home)
    migrate.upgrade(old, version)
    some_rows(old)
    with old.reading() as view:
        assert migrate.version_of(view) == version
        before = view.execute(select(metadata.tables["person"])).all()
    old.close()

    store = open_store(bare_home)
    with store.reading() as view:
        assert migrate.version_of(view) == migrate.HEAD
        assert view.execute(select(metadata.tables["person"])).all() == before
        taken = view.execute(select(metadata.tables["snapshot_taken"])).one()
    store.close()
    assert (taken.reason, taken.verified) == ("before migration", True)
    assert (bare_home.snapshots / taken.file).exists()

    from enamelwright.records.snapshots import verify, version_of

    copy = bare_home.snapshots / taken.file
    assert verify(copy)["person"] == len(before)
    assert version_of(copy) == version


def test_a_snapshot_that_fails_stops_the_migration(bare_home: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    old = connect(bare_home)
    migrate.upgrade(old, migrate.REVISIONS[0])
    some_rows(old)

    def full(*_: object) -> None:
        raise NoRoom("there is no room.")

    monkeypatch.setattr("enamelwright.records.snapshots.take", full)
    with pytest.raises(NoRoom):
        open_store(bare_home)
    with old.reading() as view:
        assert migrate.version_of(view) == migrate.REVISIONS[0]
    old.close()


def half_done(migration: Callable[..., None], **arguments: Any) -> None:
    """Do what a revision does, and fail."""
    migration(**arguments)
    raise RecordError("the lights went out.")


@pytest.mark.parametrize("last", migrate.REVISIONS)
def test_a_migration_that_fails_changes_nothing(bare_home: Home, monkeypatch: pytest.MonkeyPatch, last: str) -> None:
    """Whatever revision breaks, even one step before the end, the whole way there is undone."""
    from alembic.script import ScriptDirectory

    usual = ScriptDirectory._upgrade_revs

    def breaking(script: ScriptDirectory, to: str, current: str) -> Any:
        steps = usual(script, to, current)
        for step in steps:
            if step.revision.revision == last:
                step.migration_fn = partial(half_done, step.migration_fn)
        return steps

    store = connect(bare_home)
    with store.reading() as view:
        before = shape(view)
    monkeypatch.setattr(ScriptDirectory, "_upgrade_revs", breaking)
    with pytest.raises(RecordError, match="lights"):
        migrate.upgrade(store)
    with store.reading() as view:
        assert shape(view) == before
        assert migrate.version_of(view) is None
    monkeypatch.undo()
    migrate.upgrade(store)
    store.close()


@pytest.mark.parametrize(
    ("said", "words"), [("0999", "of version 0999"), ("", "no version"), ("abc", "no version"), ("0000", "no version")]
)
def test_a_version_nobody_here_knows_is_refused(store: Store, said: str, words: str) -> None:
    with store.engine.begin() as connection:
        connection.execute(sql(f"UPDATE {migrate.VERSION_TABLE} SET version_num = :said"), {"said": said})
    with pytest.raises(ForeignRecord, match=words):
        open_store(store.home)


def test_a_database_of_something_else_is_refused_and_left_alone(bare_home: Home) -> None:
    other = connect(bare_home)
    with other.engine.begin() as connection:
        connection.execute(sql("CREATE TABLE bread (loaves INTEGER)"))
    if bare_home.on_sqlite:  # a file that some program marked as its own, then ours by its mark alone
        other.close()
        with contextlib.closing(sqlite3.connect(bare_home.database)) as file:
            file.execute("PRAGMA application_id=7")
        with pytest.raises(ForeignRecord, match="another program"):
            open_store(bare_home)
        with contextlib.closing(sqlite3.connect(bare_home.database)) as file:
            file.execute(f"PRAGMA application_id={APPLICATION_ID}")
    with pytest.raises(ForeignRecord, match="another program"):
        open_store(bare_home)
    with other.reading() as view:
        assert inspect(view).get_table_names() == ["bread"]
    other.close()


def test_two_that_open_a_new_record_at_once_both_find_it(bare_home: Home) -> None:
    code = (
        "import sys; from pathlib import Path; from enamelwright.records.home import Home; "
        "from enamelwright.records.opening import open_store; sys.stdin.readline(); "
        f"open_store(Home(Path({str(bare_home.folder)!r}), {bare_home.url!r})).close()"
    )
    command = [sys.executable, "-c", code]
    both = [subprocess.Popen(command, stdin=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    for one in both:
        assert one.stdin is not None
        one.stdin.write("go\n")
        one.stdin.flush()
    said = [one.communicate()[1] for one in both]
    assert [one.returncode for one in both] == [0, 0], said
    store = open_store(bare_home)
    with store.writing(Author.here()) as work:
        assert work.connection.execute(select(func.count()).select_from(metadata.tables["load"])).scalar() == 0
    store.close()

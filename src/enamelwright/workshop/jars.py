"""Jars: one enamel as bought, with every fact that was ever learned of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal, get_args, get_origin, get_type_hints

from sqlalchemy import Row, select

from enamelwright.craft.description import Described, Dimension
from enamelwright.craft.jar import Jar
from enamelwright.errors import InputError
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import jar_fact
from enamelwright.records.writing import current
from enamelwright.units import show
from enamelwright.workshop.named import Which, in_use, named
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity, read_quantity


def add_jar(studio: Studio, jar: Jar, *, reorder_below: Quantity = None, words: str | None = None) -> int:
    """Put a jar on the shelf and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    jar : Jar
        As described; its id becomes the code it is called by, and grams in its stock facet are left
        to the lots.
    reorder_below : quantity, optional
        Mass at which it should be bought again.
    words : str, optional
        Free words.

    Raises
    ------
    InputError
        When a jar with this code is on the shelf.
    """
    with studio.writing() as work:
        if work.connection.execute(select(jar_table.c.id).where(jar_table.c.code == jar.id)).first():
            raise InputError(f"a jar '{jar.id}' is on the shelf.", "Change it, or give the new one another code.")
        return studio.keep(jar_table, reorder_below=reorder_below, words=words, **_columns(jar))


def change_jar(studio: Studio, which: Which, jar: Jar, version: int | None = None) -> int:
    """Describe a jar anew and return its new version; what it was before stays in the history.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row, code or name.
    jar : Jar
        As it is described now.
    version : int, optional
        The version that was shown when the change was made.
    """
    with studio.writing():
        row = jar_row(studio, which)
        return studio.change(jar_table, row.id, version, **_columns(jar))


def put_away(studio: Studio, which: Which, version: int | None = None) -> int:
    """Take a jar off the lists without forgetting it, and return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row, code or name.
    version : int, optional
        The version that was shown when it was put away.
    """
    with studio.writing():
        return studio.change(jar_table, jar_row(studio, which).id, version, put_away=True)


def jar_row(studio: Studio, which: Which) -> Row[Any]:
    """Return the row of a jar by id, code or name.

    Raises
    ------
    UnknownName
        With the nearest names.
    """
    with studio.reading() as connection:
        return named(connection, jar_table, which, "code", "name")


def jars(studio: Studio, *, everything: bool = False) -> list[Row[Any]]:
    """List the jars by code.

    Parameters
    ----------
    studio : Studio
        The studio.
    everything : bool
        Also what was put away.
    """
    rows = select(jar_table).order_by(jar_table.c.code)
    if not everything:
        rows = rows.where(in_use(jar_table))
    with studio.reading() as connection:
        return list(connection.execute(rows))


def described(row: Row[Any]) -> Jar:
    """Return the jar a row describes, as it was typed in.

    Parameters
    ----------
    row : Row
        Of the table of jars.
    """
    return Jar.from_outside(row.described, f"jar {row.code}")


def tell_fact(
    studio: Studio,
    which: Which,
    fact: str,
    value: Quantity = None,
    *,
    origin: str,
    dimension: str = "",
    answer: str | None = None,
    lot: int | None = None,
    source: str | None = None,
    status: str | None = None,
    said_on: Any = None,
    words: str | None = None,
) -> int:
    """Add a fact about a jar and return its row; a later fact does not erase an earlier one.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row, code or name of the jar.
    fact : str
        Facet and field as the jar writes them: ``glass.expansion.value``, ``fusing.maturity``,
        ``hazards.lead``; or any words.
    value : quantity, optional
        SI, or text with its unit when `dimension` is given.
    origin : str
        ``measured``, ``learned``, ``data sheet``, ``safety data sheet``, ``label``, ``told`` or ``assumption``.
    dimension : str
        A dimension of :mod:`enamelwright.units`.
    answer : str, optional
        A fact in words: ``yes``, ``no``, ``mixed``.
    lot : int, optional
        The lot it was found on.
    source, status : str, optional
        Where it stands, and how far it can be trusted.
    said_on : date, optional
        Day of the sheet or the measurement.
    words : str, optional
        Free words.
    """
    typed = {"value": value} if isinstance(value, str) else {}
    number = read_quantity(value, dimension or "ratio") if isinstance(value, str) else value
    with studio.writing():
        return studio.add(
            jar_fact, jar=jar_row(studio, which).id, lot=lot, fact=fact, value=number, dimension=dimension or None,
            answer=answer, origin=origin, source=source, status=status, said_on=said_on, words=words,
            typed=typed or None,
        )  # fmt: skip


def fact_dimension(fact: str) -> str:
    """Return the dimension of a fact a jar has a field for; empty when it is told in words.

    Parameters
    ----------
    fact : str
        Facet and field, e.g. ``fusing.maturity``.
    """
    hint: Any = Jar
    for step in fact.split("."):
        model = next((part for part in _parts(hint) if isinstance(part, type) and issubclass(part, Described)), None)
        if model is None or step not in model.model_fields:
            return ""
        hint = get_type_hints(model, include_extras=True)[step]
    return next((part.name for part in _parts(hint) if isinstance(part, Dimension)), "")


def fact_names() -> tuple[str, ...]:
    """Return every fact a jar has a field for, as ``facet.field``."""
    return tuple(sorted(_leaves(Jar)))


def fact_choices(fact: str) -> tuple[str, ...]:
    """Return the words a fact may have; empty when it is a quantity or free words.

    Parameters
    ----------
    fact : str
        Facet and field, e.g. ``hazards.lead``.
    """
    hint: Any = Jar
    for step in fact.split("."):
        model = next((part for part in _parts(hint) if isinstance(part, type) and issubclass(part, Described)), None)
        if model is None or step not in model.model_fields:
            return ()
        hint = get_type_hints(model, include_extras=True)[step]
    return tuple(
        word for part in _parts(hint) if get_origin(part) is Literal for word in get_args(part) if isinstance(word, str)
    )


def _leaves(model: type[Described], before: str = "") -> Iterator[str]:
    hints = get_type_hints(model, include_extras=True)
    for name in model.model_fields:
        inner = next(
            (part for part in _parts(hints[name]) if isinstance(part, type) and issubclass(part, Described)), None
        )
        if inner is None:
            yield f"{before}{name}"
        else:
            yield from _leaves(inner, f"{before}{name}.")


def fact_words(fact: str, value: Any) -> str:
    """Show a fact in the unit people use for it.

    Parameters
    ----------
    fact : str
        Facet and field.
    value : object
        SI number or words.
    """
    dimension = fact_dimension(fact)
    return show(value, dimension) if dimension and isinstance(value, int | float) else str(value)


def _parts(hint: Any) -> Iterator[Any]:
    """Yield a type hint and everything it is made of."""
    yield hint
    for part in get_args(hint):
        yield from _parts(part)


def facts(studio: Studio, which: Which) -> list[Row[Any]]:
    """List every fact told of a jar, the newest first."""
    with studio.reading() as connection:
        row = jar_row(studio, which)
        return list(
            connection.execute(
                current(jar_fact).where(jar_fact.c.jar == row.id).order_by(jar_fact.c.at.desc(), jar_fact.c.id.desc())
            )
        )


def _columns(jar: Jar) -> dict[str, Any]:
    """Return the columns of a jar. Grams belong to the lots, so that a used gram changes no description."""
    plain = jar.model_copy(update={"stock": jar.stock.model_copy(update={"grams": None})})
    return {
        "code": jar.id,
        "name": jar.name,
        "kind": jar.kind,
        "family": jar.optics.family,
        "described": plain.to_outside(),
        "invented": jar.synthetic,
    }

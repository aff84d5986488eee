"""Looks for words in columns of text, whatever the capitals; alike on both databases, and quick over many rows.

Capitals are folded by plain rules, as SQLite does: those of ASCII. Folding by the rules of a language costs
PostgreSQL most of a search. Of a word with other letters the usual spellings are tried.
"""

from __future__ import annotations

import re
import string
from typing import Any

from sqlalchemy import Boolean, ColumnElement, Text, func, literal, or_
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.compiler import SQLCompiler
from sqlalchemy.sql.functions import FunctionElement

#: What may stand before the beginning of a word, beside a space.
BEFORE = ("-", "(")
#: Signs that stand for others in a pattern.
_OTHERS = re.compile(r"[\\%_]")
_PLAIN = str.maketrans(string.ascii_uppercase, string.ascii_lowercase)


class _Folded(FunctionElement[str]):
    """A text with small letters in place of the capitals of ASCII."""

    type = Text()
    inherit_cache = True


class _Alike(FunctionElement[bool]):
    """Whether a text is as a pattern has it, where a backslash takes a sign as it stands."""

    type = Boolean()
    inherit_cache = True


@compiles(_Folded)
def _folded(element: _Folded, compiler: SQLCompiler, **more: Any) -> str:
    return f'lower(({compiler.process(element.clauses, **more)}) COLLATE "C")'


@compiles(_Folded, "sqlite")
def _as_it_is(element: _Folded, compiler: SQLCompiler, **more: Any) -> str:
    return compiler.process(element.clauses, **more)  # its LIKE folds by itself


@compiles(_Alike)
def _alike(element: _Alike, compiler: SQLCompiler, **more: Any) -> str:
    text, pattern = (compiler.process(one, **more) for one in element.clauses)
    return f"({text} LIKE {pattern})"  # told which sign escapes, PostgreSQL would read the pattern anew for every row


@compiles(_Alike, "sqlite")
def _alike_on_sqlite(element: _Alike, compiler: SQLCompiler, **more: Any) -> str:
    text, pattern = (compiler.process(one, **more) for one in element.clauses)
    return rf"({text} LIKE {pattern} ESCAPE '\')"


def holds(word: str, *columns: ColumnElement[Any]) -> ColumnElement[bool]:
    """Say that a word stands in one of some columns, be it inside another word.

    Parameters
    ----------
    word : str
        Without spaces.
    *columns
        Of text.
    """
    if word.lower() == word.upper():  # a number, say: nothing to fold
        return or_(*(_within(word, column) for column in columns))
    return or_(*(_within(one, _Folded(column)) for column in columns for one in _spellings(word)))


def begins(word: str, *columns: ColumnElement[Any]) -> ColumnElement[bool]:
    """Say that a word of one of some columns begins so.

    Parameters
    ----------
    word : str
        Without spaces.
    *columns
        Of text.
    """
    text: Any = literal("")
    for column in columns:
        text = text + " " + func.coalesce(column, "")
    for sign in BEFORE:
        text = func.replace(text, sign, " ")
        word = word.replace(sign, " ")
    return or_(*(_within(f" {one}", _Folded(text)) for one in _spellings(word)))


def _within(word: str, text: ColumnElement[Any]) -> ColumnElement[bool]:
    return _Alike(text, literal("%" + _OTHERS.sub(r"\\\g<0>", word) + "%"))


def _spellings(word: str) -> tuple[str, ...]:
    tried = (word,) if word.isascii() else (word, word.lower(), word.upper(), word.capitalize())
    return tuple(dict.fromkeys(one.translate(_PLAIN) for one in tried))

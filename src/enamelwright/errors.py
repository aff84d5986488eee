"""Every error the product raises on purpose, as one tree.

An error carries one clear sentence (what is wrong, and where) and what to do about it. Folders add
their own subclass beside the code that raises it; nothing here imports anything.

    EnamelwrightError
    |- InputError            the person gave something that cannot be used (exit code 2)
    |  |- QuantityError      a number or unit that cannot be read
    |  |- UnknownName        a metal, jar, technique, rule ... that nobody has described
    |  `- (files.FileError)  a file that cannot be read or trusted
    |- OutOfReach            a sound request that the model honestly cannot answer
    `- HouseError            the program itself is damaged: a table missing, a source unnamed
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

#: Printed in place of a sign a terminal would obey instead of show.
STAND_IN = "\N{REPLACEMENT CHARACTER}"
#: Longest place printed whole; a longer one keeps its end, where the field stands.
LONGEST_PLACE = 300


def _short(where: str) -> str:
    return where if len(where) <= LONGEST_PLACE else f"...{where[-LONGEST_PLACE:]}"


class EnamelwrightError(Exception):
    """Base of the tree.

    Parameters
    ----------
    message : str
        What is wrong, in plain words, one sentence.
    remedy : str
        What to do about it.
    where : str
        File, line or field; empty when the message already says it.
    """

    def __init__(self, message: str, remedy: str = "", where: str = "") -> None:
        self.message = message
        self.remedy = remedy
        self.where = where
        super().__init__(str(self))

    def __str__(self) -> str:
        """Where, what and what to do, as one line that cannot command the terminal it is printed on."""
        head = f"{_short(self.where)}: {self.message}" if self.where else self.message
        line = " ".join(f"{head} {self.remedy}".split())
        return "".join(sign if sign.isprintable() else STAND_IN for sign in line)

    def at(self, where: str) -> EnamelwrightError:
        """Return the same error placed at `where` (outer place first).

        Parameters
        ----------
        where : str
            File or field to put in front of the place already known; nothing changes when it is empty.
        """
        return type(self)(self.message, self.remedy, ", ".join(part for part in (where, self.where) if part))


class InputError(EnamelwrightError):
    """The person gave something that cannot be used."""


class QuantityError(InputError):
    """A number or a unit that cannot be read, or lies outside what is possible."""


class UnknownName(InputError):
    """A name nobody has described; says which names are near."""

    @classmethod
    def among(cls, kind: str, name: str, known: Iterable[str], where: str = "") -> UnknownName:
        """Build the error for `name`, offering the nearest of the `known` names.

        Parameters
        ----------
        kind : str
            What the name should stand for, e.g. ``"jar"``.
        name : str
            The name as given.
        known : iterable of str
            The names that would have worked.
        where : str
            File or field.
        """
        names = sorted(known)
        near = get_close_matches(name.lower(), names, n=3, cutoff=0.5)
        offer = f"Did you mean {' or '.join(repr(one) for one in near)}?" if near else _known(names)
        return cls(f"there is no {kind} called '{name[:60]}'.", offer if names else "", where)


def _known(names: list[str]) -> str:
    """List names, at most a dozen."""
    return "Known: " + "; ".join(names[:12]) + (" ..." if len(names) > 12 else "") + "."


class OutOfReach(EnamelwrightError):
    """A sound request that the model honestly cannot answer."""


class HouseError(EnamelwrightError):
    """The program itself is damaged: a table is missing or a source is unnamed."""

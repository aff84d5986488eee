"""What the terminal asks back before something that says two things is written down."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated

import typer

ReallyOption = Annotated[bool, typer.Option("--really", help="Keep it though it says two things.")]


@contextmanager
def asks_back() -> Iterator[None]:
    """Say how a question is answered here: put it right, or --really."""
    from enamelwright.errors import InputError
    from enamelwright.workshop.says_two import AskedBack

    try:
        yield
    except AskedBack as error:
        raise InputError(error.message, "Put right which is wrong, or say --really.", error.where) from error

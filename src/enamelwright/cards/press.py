"""The one place that calls typst: only our own fonts, no clock, no system, tagged output."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, Generic, TypeVar

from enamelwright.errors import HouseError

HERE = Path(__file__).parent
FONTS = HERE / "fonts"
#: Time written into every PDF [s since 1970]; fixed, so that equal plans give equal bytes.
STAMP = 0

T = TypeVar("T")


@lru_cache(maxsize=1)
def _fonts() -> Any:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)])


def press(template: str, data: dict[str, Any]) -> bytes:
    """Turn a template and its data into a PDF.

    Parameters
    ----------
    template : str
        Name of a ``.typ`` file of this folder.
    data : dict
        Plain values; text is set as it stands, never read as markup.

    Returns
    -------
    bytes
        PDF/UA-1 with title and language.

    Raises
    ------
    HouseError
        When the template is damaged; never because of what a person wrote.
    """
    import typst

    try:
        made = _compiler(template, data).compile(format="pdf", timestamp=STAMP, pdf_standards=["ua-1"])
    except typst.TypstError as error:
        raise HouseError(f"the card could not be set: {error.message}", "Please report this.", template) from error
    if not isinstance(made, bytes):
        raise HouseError("the card came out empty.", "Please report this.", template)
    return made


@dataclass(frozen=True)
class Sheet(Generic[T]):
    """One kind of paper, called with what goes on it.

    Attributes
    ----------
    template : str
        Name of a ``.typ`` file of this folder.
    gather : callable
        Gathers what the template prints.
    """

    template: str
    gather: Callable[[T, bool], dict[str, Any]]

    def __call__(self, what: T, invented: bool = False) -> bytes:
        """Set it as a PDF; byte-identical for identical input.

        Parameters
        ----------
        what : object
            What goes on it.
        invented : bool
            Whether it belongs to a demonstration.
        """
        return press(self.template, self.gather(what, invented))


def pages_svg(template: str, data: dict[str, Any]) -> list[bytes]:
    """Turn a template and its data into a drawing of each page, for a look before it is printed.

    Parameters
    ----------
    template : str
        Name of a ``.typ`` file of this folder.
    data : dict
        As for :func:`press`.

    Raises
    ------
    HouseError
        When the template is damaged.
    """
    import typst

    try:
        made = _compiler(template, data).compile(format="svg", timestamp=STAMP)
    except typst.TypstError as error:
        raise HouseError(f"the card could not be set: {error.message}", "Please report this.", template) from error
    return [made] if isinstance(made, bytes) else [page for page in made or [] if isinstance(page, bytes)]


def cut_off(template: str, data: dict[str, Any]) -> int:
    """Return how many pieces of writing did not fit even at their smallest; 0 on a sound card."""
    return len(json.loads(_compiler(template, data).query("<cut-off>")))


def _compiler(template: str, data: dict[str, Any]) -> Any:
    import typst

    return typst.Compiler(
        str(HERE / template), root=str(HERE), font_paths=_fonts(), sys_inputs={"data": json.dumps(data, sort_keys=True)}
    )

"""A page: one noun of the trade, its place in the navigation and its routes."""

from __future__ import annotations

from dataclasses import dataclass, field
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fastapi import APIRouter

#: Every page by module, in the order of the navigation. A page is here once its engine is.
MODULES: tuple[str, ...] = (
    "today",
    "taking",
    "day",
    "pieces",
    "piece",
    "wrong",
    "designs",
    "coats",
    "colour",
    "shape",
    "kiln",
    "weigh",
    "jars",
    "jar_colour",
    "tiles",
    "tile_colours",
    "tile_photo",
    "match",
    "pickle",
    "air",
    "finished",
    "orders",
    "series",
    "find",
    "firing",
    "photos",
    "learned",
    "quick",
    "sources",
    "paper",
    "set_up",
    "first",
)


@dataclass(frozen=True)
class Page:
    """One page as the navigation knows it.

    Parameters
    ----------
    path : str
        Where it begins.
    noun : str
        What it is called, everywhere.
    says : str
        One line on what it is for.
    router : APIRouter
        Its routes.
    listed : bool
        Whether it stands in the navigation, or is reached from another page.
    private : bool
        Whether it concerns the shop and its customers, which a guest is not shown.
    """

    path: str
    noun: str
    says: str
    router: APIRouter = field(compare=False)
    listed: bool = True
    private: bool = False


def pages() -> tuple[Page, ...]:
    """Return all pages in order."""
    found: list[Page] = []
    for name in MODULES:
        found.append(import_module(f"enamelwright.web.pages.{name}").PAGE)
    return tuple(found)

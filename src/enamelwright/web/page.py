"""A page: one noun of the trade, its place in the navigation, and the file its routes are in.

What the navigation shows of every page stands here, so that a page can be drawn before the others are loaded.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fastapi import APIRouter


@dataclass(frozen=True)
class Page:
    """One page as the navigation knows it.

    Parameters
    ----------
    module : str
        File below ``pages/`` with its routes.
    path : str
        Where it begins.
    noun : str
        What it is called, everywhere.
    says : str
        One line on what it is for.
    listed : bool
        Whether it stands in the navigation, or is reached from another page.
    private : bool
        Whether it concerns the shop and its customers, which a guest is not shown.
    """

    module: str
    path: str
    noun: str
    says: str
    listed: bool = True
    private: bool = False

    def load(self) -> APIRouter:
        """Return its routes; takes a breath the first time."""
        found: APIRouter = import_module(f"enamelwright.web.pages.{self.module}").router
        return found


#: Every page, in the order of the navigation. A page is here once its engine is.
PAGES: tuple[Page, ...] = (
    Page("today", "/", "Today", "What goes in next, what is drying, cooling and due"),
    Page("taking", "/record", "Record", "What stood in an entry, and its correction", listed=False),
    Page("day", "/day", "The day", "What goes in next, and when", private=True),
    Page("pieces", "/pieces", "Pieces", "Everything with a number, and what lies on it"),
    Page("piece", "/pieces", "Piece", "One piece: its section, firings, record and price", listed=False),
    Page("wrong", "/pieces", "What went wrong", "What caused a fault, and what now", listed=False),
    Page("designs", "/designs", "Designs", "What has been designed, and beginning another", listed=False),
    Page("coats", "/coats", "Coats", "The section to scale, and what each change does", listed=False),
    Page("colour", "/colour", "Colour", "What each place will look like once fired", listed=False),
    Page("shape", "/drawings", "Shape", "The outline, its metal and its cells", listed=False),
    Page("kiln", "/kiln", "At the kiln", "Put in, look, out, and how it came out"),
    Page("weigh", "/weigh", "Weigh out", "Coat by coat, this side in huge digits"),
    Page("jars", "/jars", "Jars", "The shelf: what is left, what it is, what can hurt"),
    Page("jar_colour", "/jars/colour", "Colour of a jar", "Fitted to your own tiles", listed=False),
    Page("tiles", "/tiles", "Test tiles", "The rack: what each jar becomes over what"),
    Page(
        "tile_colours",
        "/tile-colours",
        "Read colours",
        "From a photo, a file or a display into the record",
        listed=False,
    ),
    Page(
        "tile_photo",
        "/tile-colours/photo",
        "Colours in a photo",
        "Tiles beside a card, read into numbers",
        listed=False,
    ),
    Page("match", "/match", "Match a colour", "Which of your jars, over which metal, come nearest to a colour"),
    Page("pickle", "/pickle", "Pickle", "The baths, how far they are used, and the waste until it is handed in"),
    Page("air", "/air", "Dust, glare and burns", "Air and heat: what the day brought, and what helps"),
    Page("finished", "/finished", "Finished work", "Where each piece is, and what it was sold for"),
    Page("orders", "/orders", "Orders", "Who asked, when it is due, what was paid", private=True),
    Page("series", "/series", "Series and blanks", "How many to start, what is cut, what fits the shelf", private=True),
    Page("series_blanks", "/series", "Blanks", "Laid out on what is in stock, and cut", listed=False, private=True),
    Page("series_shelf", "/series", "Shelf", "How a load stands on the shelf of a kiln", listed=False, private=True),
    Page("series_stock", "/series", "What is short", "Powder and metal that will not last", listed=False, private=True),
    Page("find", "/find", "Find", "Any piece, jar, tile or note", listed=False),
    Page("firing", "/loads", "Firing", "One load, read again", listed=False),
    Page("photos", "/photos", "Photo", "One photo, whole", listed=False),
    Page("learned", "/learned", "What we learned", "Kiln, jars, control tile, foretold and happened, faults"),
    Page("notebook", "/notebook", "An old notebook", "Its table, looked at and brought in", listed=False),
    Page("quick", "/quick", "Quick answers", "Grams, minutes, gauge, degrees and fills, without making anything"),
    Page("sources", "/sources", "Sources", "Every number and where it comes from"),
    Page("paper", "/paper", "Cards and labels", "For the day, for jars, tiles and baths"),
    Page("set_up", "/set-up", "Bench set-up", "Kilns, people, house rules, copies and other devices"),
    Page("first", "/first", "Begin", "A kiln, two jars, one piece; or the invented workshop", listed=False),
)

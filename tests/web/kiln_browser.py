"""What the stories at the kiln do in a browser: open, tap, let time pass, look for faults."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from enamelwright.craft.kiln import Kiln
from enamelwright.records.schema.loads import load as load_table
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.pieces import start_pieces

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

    from enamelwright.workshop.studio import Studio

#: What the browser says when a page is left, or the line is cut, while something is still on its way.
LEFT_BEHIND = ("ERR_", "htmx:sendError", "htmx:sendAbort")
#: How long something that must come is waited for [s]; a machine that others use too may take its time.
PATIENCE = 120.0
EXAMPLES = Path(__file__).parents[2] / "examples"
AXE = Path(__file__).parent / "vendor" / "axe-4.14.1.min.js"


def two_laid(studio: Studio) -> list[str]:
    """Give the studio a small kiln and two pieces whose second coat is laid; return their numbers."""
    keep_kiln(studio, Kiln.from_outside({"name": "small kiln", "preset": "fibre small"}, "kiln"))
    version = keep_design(studio, EXAMPLES / "clear-over-flux.toml").version
    numbers = [row.number for row in start_pieces(studio, 2, version)]
    for number in numbers:
        lay_coat(studio, number, coat=2, face="front")
    return numbers


def nth_load(studio: Studio, n: int) -> str:
    """The number of the n-th load that was put in, whatever year it is."""
    with studio.reading() as connection:
        numbers = connection.execute(
            select(load_table.c.number).where(load_table.c.corrects.is_(None)).order_by(load_table.c.id)
        ).scalars()
        return str(list(dict.fromkeys(numbers))[n - 1])


@contextmanager
def opened(browser: Browser, url: str, *, clock: bool = True, still: bool = False, **options: Any) -> Iterator[Page]:
    """Open a page that fails the test for any error of its console and any request that leaves the machine.

    With a clock time can be let pass; where it stands still, no other time passes than that, however slow the machine.
    """
    context = browser.new_context(**options)
    page = context.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on(
        "console",
        lambda line: (
            wrong.append(line.text)
            if line.type == "error" and not any(one in line.text for one in LEFT_BEHIND)
            else None
        ),
    )
    page.on(
        "request", lambda asked: wrong.append(asked.url) if not asked.url.startswith((url, "data:", "blob:")) else None
    )
    if clock:
        began = datetime.now(UTC)
        page.clock.install(time=began)
        if still:
            page.clock.pause_at(began + timedelta(seconds=1))
    yield page
    found = list(wrong)  # before closing, which cuts off whatever is still under way
    context.close()
    assert not found, found


def settle(page: Page) -> None:
    """Let the script of the page begin, and everything it told be taken."""
    page.wait_for_selector("#waiting[data-waiting='0']", state="attached")


def begun(page: Page) -> None:
    """Let the script of the page take hold of every button; before that a tap sends the plain form."""
    page.wait_for_selector("#main[data-scripted]", state="attached")


def until(page: Page, expression: str) -> None:
    """Wait until an expression holds; the page's policy forbids what the driver would use."""
    give_up = monotonic() + PATIENCE
    while not page.evaluate(expression):
        if monotonic() > give_up:
            raise AssertionError(expression)
        page.wait_for_timeout(50)


def leave(page: Page, what: Locator) -> None:
    """Press what leads to another page, and wait until all of that page is there.

    A page that only writes another address over itself has not been left.
    """
    with page.expect_event("load"):
        what.click()


def passes(page: Page, seconds: float) -> None:
    page.clock.run_for(int(seconds * 1000))


def tap(page: Page, what: str) -> None:
    page.click(what)
    passes(page, 1)


def count(studio: Studio, table: Any) -> int:
    with studio.reading() as connection:
        return int(connection.execute(select(func.count()).select_from(table)).scalar() or 0)


def axe(page: Page) -> list[str]:
    if page.evaluate("typeof window.axe") == "undefined":
        page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [f"{one['id']}: {one['nodes'][0]['html'][:160]}" for one in found["violations"]]

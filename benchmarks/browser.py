"""How quickly the app answers a hand, measured in a real browser on a six-coat piece.

Chromium drags the slider of one coat as a hand would, many small steps one after another. Counted is the time
from the input event to the moment after the frame in which an answer to it, or to a later one, is on the screen.
The whole answer, with every band, is counted from the last input. Loads of pages are counted from the request to
the load event. Beside each stands the yardstick of this machine, since two cores may be busy with other things.

The server runs in a process of its own, as a maker runs it, and what it does beside the pages is waited for. First it
is started a few times: seconds to its first page, beside the seconds a bare interpreter needs to import its libraries;
last told is how much memory it holds once every page was drawn.

Run: ``python benchmarks/browser.py [--home DIR] [--drags N] [--big | --big-home DIR] [--keep]``; with DIR a studio that is
there already, such as the demonstration; a studio with the invented examples is made otherwise. With ``--big`` the pages
are loaded again on a record of 10,000 firings. ``--keep`` writes the figures to browser.json beside this file, which the
page of the browser stories shows.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.error import URLError

from yardstick import yardstick

HERE = Path(__file__).parents[1]
KEPT = Path(__file__).with_suffix(".json")
CHROMIUM = "/usr/bin/chromium"
QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
)  # fmt: skip
#: Claims [ms]: 95 % of inputs answered, the whole band, pages loaded, and pages loaded on a big record.
FIRST, WHOLE, PAGE, BIG_PAGE = 100, 1000, 150, 250
#: Claims: seconds to the first page, and megabytes of the server.
START, MEMORY = 2.0, 300
#: A hand moves a slider about so often [ms].
STEP = 30
#: The server has nothing more to do beside the pages when it uses less of a processor in two seconds [s]; looked for
#: once it has learned from the firings, and for no longer than this [s].
IDLE, LEARNS, SETTLED = 0.1, 12.0, 90.0
#: Nothing more is asked for by a page that was loaded.
SETTLES = "() => !document.querySelector('.htmx-request, [hx-trigger=load]')"
#: How often the server is started.
STARTS = 3
SIX_COATS, SIX_COATS_FILE = "Tide brooch", "tide-brooch.toml"


#: What was measured, as the page of the browser stories shows it.
ROWS: list[dict[str, str]] = []


def tell(what: str, said: str, asked: str) -> None:
    """Print a measured figure beside what is asked of it, and remember it."""
    print(f"{what}: {said} (asked: {asked})")
    ROWS.append({"what": what, "said": said, "asked": asked})


@dataclass
class Served:
    """A server in a process of its own, as a maker runs it."""

    url: str
    process: subprocess.Popen[bytes]
    first: float
    of: str

    def held(self) -> float:
        """Return the megabytes it holds."""
        status = Path(f"/proc/{self.process.pid}/status").read_text(encoding="utf-8")
        return int(status.partition("VmRSS:")[2].split()[0]) / 1024

    def seconds(self) -> float:
        """Return the seconds of a processor it has used."""
        told = Path(f"/proc/{self.process.pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
        return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")

    def rest(self) -> None:
        """Wait until it has nothing more to do beside the pages."""
        until = time.monotonic() + SETTLED
        while time.monotonic() < until:
            before = self.seconds()
            time.sleep(2)
            if self.seconds() - before < IDLE and time.monotonic() > until - SETTLED + LEARNS:
                return

    def read(self, path: str) -> str:
        """Load one page without a browser."""
        with urllib.request.urlopen(self.url + path, timeout=120) as answer:
            return str(answer.read().decode())


@contextmanager
def served(home: str) -> Iterator[Served]:
    """Serve a copy of a studio, or a new one with the examples: what is measured is never written into the original."""
    from enamelwright.records.home import Home
    from enamelwright.web.serve import free_port
    from enamelwright.workshop.designs import keep_design
    from enamelwright.workshop.settings import INVENTED, setting
    from enamelwright.workshop.studio import Studio

    with tempfile.TemporaryDirectory() as folder:
        own = Path(folder) / "studio"
        if home:
            shutil.copytree(home, own)
        else:
            own.mkdir()
        studio = Studio.open(Home(own))
        for path in sorted((HERE / "examples").glob("*.toml" if not home else SIX_COATS_FILE)):
            keep_design(studio, path)
        of = "the invented workshop" if setting(studio, INVENTED) else "a studio of some designs"
        studio.close()
        port = free_port("127.0.0.1", 18900, 200)
        begun = time.perf_counter()
        process = subprocess.Popen(
            [sys.executable, "-m", "enamelwright", "serve", "--home", str(own), "--port", str(port)],
            stdout=subprocess.DEVNULL,
        )
        try:
            one = Served(f"http://127.0.0.1:{port}", process, 0.0, of)
            while True:
                try:
                    one.read("/")
                    break
                except (URLError, OSError):
                    time.sleep(0.02)
            one.first = time.perf_counter() - begun
            yield one
        finally:
            process.terminate()
            process.wait()


def p95(values: list[float]) -> float:
    return statistics.quantiles(values, n=20)[-1]


#: Remembers each input and, after every answer is on the screen, how long all inputs it covers have waited.
WATCH = """() => {
  window.inputs = []; window.waits = [];
  document.addEventListener('input', (e) => { if (e.target.id === 'amount-range') inputs.push(e.timeStamp); }, true);
  new PerformanceObserver((list) => { for (const one of list.getEntries()) {
    if (!one.name.startsWith('coats')) continue;
    const end = one.startTime + one.duration;
    while (inputs.length && inputs[0] <= one.detail.covers) waits.push(end - inputs.shift());
  } }).observe({ entryTypes: ['measure'] });
}"""


def drag(page: Any, drags: int) -> tuple[list[float], list[float], bool]:
    """Drag back and forth; return waits of all inputs, of the whole answers, and whether the last value stood."""
    page.evaluate(WATCH)
    box = page.locator("#amount-range").bounding_box()
    y = box["y"] + box["height"] / 2
    whole, kept = [], True
    for turn in range(drags):
        page.mouse.move(box["x"] + box["width"] * 0.3, y)
        page.mouse.down()
        for step in range(25):
            page.mouse.move(box["x"] + box["width"] * (0.3 + 0.4 * step / 25 + 0.01 * (turn % 3)), y)
            page.wait_for_timeout(STEP)
        begun = time.perf_counter()
        page.mouse.up()
        page.wait_for_function("() => !document.querySelector('#windows[aria-busy]') && !inputs.length", timeout=20_000)
        whole.append(1000 * (time.perf_counter() - begun))
        shown = page.locator("#amount").input_value()
        told = page.evaluate("() => JSON.parse(document.getElementById('stack').textContent)")
        at = int(page.locator("#coat-form input[name=at]").input_value())
        kept = kept and abs(told["coats"][at].get("powder_depth_mm", -1) - float(shown)) < 1e-9
    return page.evaluate("() => waits"), whole, kept


def loads(page: Any, url: str, times: int = 9) -> list[float]:
    """Return the milliseconds of some loads [ms]; what a page asks for afterwards has come before it is loaded again."""
    found = []
    for _ in range(times):
        page.goto(url)
        found.append(
            page.evaluate(
                "() => { const n = performance.getEntriesByType('navigation')[0]; return n.loadEventStart - n.startTime; }"
            )
        )
        page.wait_for_function(SETTLES, timeout=120_000)
    return found[1:]


def every_page(page: Any, url: str, claim: int, besides: tuple[str, ...], of: str) -> None:
    """Load every page of the navigation and some besides; tell the 95 % of all loads, and which were the slowest."""
    from enamelwright.web.page import PAGES

    paths = [*(one.path for one in PAGES if one.listed), *besides]
    times = {path: loads(page, url + path) for path in paths}
    every = [one for some in times.values() for one in some]
    slow = sorted(times, key=lambda path: -statistics.median(times[path]))[:4]
    said = f"median {statistics.median(every):.0f} ms, 95 of 100 within {p95(every):.0f} ms"
    tell(f"{len(times)} pages of {of}", said, f"{claim} ms")
    print("  slowest: " + ", ".join(f"{path} {statistics.median(times[path]):.0f} ms" for path in slow))


def bare() -> float:
    """Return the seconds a bare interpreter needs to import the libraries the server stands on."""
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-c", "import numpy, sqlalchemy, fastapi, jinja2, pydantic, uvicorn"], check=True)
    return time.perf_counter() - begun


def started(home: str) -> None:
    """Start the server a few times by itself; tell the seconds to its first page."""
    firsts, bares = [], []
    for _ in range(STARTS):
        bares.append(bare())
        with served(home) as server:
            firsts.append(server.first)
    tell(
        "From start to the first page", f"{statistics.median(firsts):.2f} s, most {max(firsts):.2f} s", f"{START:.0f} s"
    )
    print(f"  a bare interpreter imports the libraries in {statistics.median(bares):.2f} s")


def memory(server: Served, address: str, of: str) -> None:
    """Tell what the server holds once every page was drawn."""
    from enamelwright.web.page import PAGES

    for path in ["/?wait=1", *(one.path for one in PAGES if one.listed), *([address] if address else ())]:
        server.read(path)
    tell(f"Memory of the server after every page of {of}", f"{server.held():.0f} MB", f"{MEMORY} MB")


def filled(folder: Path) -> str:
    """Make a record of 10,000 firings and return its home."""
    import many

    from enamelwright.records.home import Home
    from enamelwright.records.opening import open_store

    store = open_store(Home(folder))
    many.fill(store)
    store.close()
    return str(folder)


def hand(server: Served, browser: Any, drags: int) -> str:
    """Drag the slider of the six-coat piece; tell what was waited for, and return its address."""
    page = browser.new_page(viewport={"width": 1280, "height": 1400})
    page.goto(f"{server.url}/designs")
    page.get_by_role("link", name=SIX_COATS).first.click()
    address = str(page.url.split("?")[0])
    page.goto(f"{address}?at=0")
    waits, whole, kept = drag(page, drags)
    said = f"median {statistics.median(waits):.0f} ms, 95 of 100 within {p95(waits):.0f} ms"
    tell("Slider of a six-coat piece, from a move to its answer", said, f"{FIRST} ms")
    asked = page.evaluate(
        "() => performance.getEntriesByType('resource').filter((one) => one.name.endsWith('/preview')).map((one) => one.duration)"
    )
    print(f"  of which asking and computing: median {statistics.median(asked):.0f} ms, p95 {p95(asked):.0f} ms")
    said = f"median {statistics.median(whole):.0f} ms, most {max(whole):.0f} ms"
    tell("Whole answer with its bands, after letting go", said, f"{WHOLE} ms")
    print(f"  {len(waits)} inputs answered; last value never lost: {'yes' if kept else 'NO'}")
    page.close()
    return address.removeprefix(server.url)


def main() -> None:
    from playwright.sync_api import sync_playwright

    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--home", default="")
    asked.add_argument("--drags", type=int, default=6)
    asked.add_argument("--big", action="store_true", help="also every page of a record of 10,000 firings")
    asked.add_argument("--big-home", default="", help="a record of 10,000 firings that is there already")
    asked.add_argument("--keep", action="store_true", help="write the figures to browser.json")
    given = asked.parse_args()
    before = 1000 * yardstick()
    print(f"yardstick before: {before:.1f} ms; load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    started(given.home)
    with served(given.home) as server, sync_playwright() as play:
        server.rest()
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        address = hand(server, browser, given.drags)
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        besides = ("/designs", address, address.replace("coats", "shape"))
        every_page(page, server.url, PAGE, besides, server.of)
        browser.close()
        memory(server, address, server.of)
    if given.big or given.big_home:
        with tempfile.TemporaryDirectory() as folder:
            home = given.big_home or filled(Path(folder))
            with served(home) as server, sync_playwright() as play:
                server.rest()
                browser = play.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
                print(f"with 10,000 firings (first page after {server.first:.2f} s):")
                page = browser.new_page(viewport={"width": 1280, "height": 800})
                every_page(page, server.url, BIG_PAGE, (), "10,000 firings")
                browser.close()
                memory(server, "", "10,000 firings")
    after = 1000 * yardstick()
    print(f"yardstick after: {after:.1f} ms; load {os.getloadavg()[0]:.1f}")
    if given.keep:
        told = {"rows": ROWS, "yardstick": round((before + after) / 2, 1)}
        KEPT.write_text(json.dumps(told, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()

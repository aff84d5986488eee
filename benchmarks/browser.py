"""How quickly the app answers a hand, measured in a real browser on a six-coat piece.

Chromium drags the slider of one coat as a hand would, many small steps one after another. Counted is the time
from the input event to the moment after the frame in which an answer to it, or to a later one, is on the screen.
The whole answer, with every band, is counted from the last input. Loads of pages are counted from the request to
the load event. Beside each stands the yardstick of this machine, since two cores may be busy with other things.

Run: ``python benchmarks/browser.py [--home DIR] [--drags N]``; with DIR a studio that is there already, such as the
demonstration; a studio with the invented examples is made otherwise. With ``--big`` the pages are loaded again on a
record of 10,000 firings, and the server is started by itself: seconds to its first page, beside seconds a bare
interpreter needs to import its libraries, and how much memory it holds once every page was drawn.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from yardstick import yardstick

HERE = Path(__file__).parents[1]
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
SIX_COATS, SIX_COATS_FILE = "Tide brooch", "tide-brooch.toml"


@contextmanager
def served(home: str) -> Iterator[str]:
    import uvicorn

    from enamelwright.records.home import Home
    from enamelwright.web.app import create_app
    from enamelwright.web.serve import free_port
    from enamelwright.workshop.designs import keep_design
    from enamelwright.workshop.studio import Studio

    with tempfile.TemporaryDirectory() as folder:
        own = Path(folder) / "studio"
        if home:
            shutil.copytree(home, own)  # what is measured is never written into the record that was given
        else:
            own.mkdir()
        studio = Studio.open(Home(own))
        for path in sorted((HERE / "examples").glob("*.toml" if not home else SIX_COATS_FILE)):
            keep_design(studio, path)
        port = free_port("127.0.0.1", 18900, 200)
        server = uvicorn.Server(uvicorn.Config(create_app(studio), host="127.0.0.1", port=port, log_level="warning"))
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.02)
        yield f"http://127.0.0.1:{port}"
        server.should_exit = True
        thread.join(10)
        studio.close()


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
    found = []
    for _ in range(times):
        page.goto(url)
        found.append(
            page.evaluate(
                "() => { const n = performance.getEntriesByType('navigation')[0]; return n.loadEventStart - n.startTime; }"
            )
        )
    return found[1:]


def every_page(page: Any, url: str, claim: int) -> None:
    """Load every page of the navigation and print the slowest of them, and the 95 % of all loads."""
    from enamelwright.web.page import pages

    times = {one.path: loads(page, url + one.path) for one in pages() if one.listed}
    every = [one for some in times.values() for one in some]
    slow = sorted(times, key=lambda path: -statistics.median(times[path]))[:4]
    print(f"  {len(times)} pages: median {statistics.median(every):.0f} ms, p95 {p95(every):.0f} ms (claim {claim})")
    print("  slowest: " + ", ".join(f"{path} {statistics.median(times[path]):.0f} ms" for path in slow))


def started(home: str) -> None:
    """Start the server by itself; print the seconds to its first page and what it holds when all were drawn."""
    import subprocess
    import sys
    import urllib.request
    from urllib.error import URLError

    from enamelwright.web.page import pages
    from enamelwright.web.serve import free_port

    libraries = "import numpy, sqlalchemy, fastapi, jinja2, pydantic, uvicorn"
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-c", libraries], check=True)
    bare = time.perf_counter() - begun
    port = free_port("127.0.0.1", 19300, 200)
    begun = time.perf_counter()
    server = subprocess.Popen(
        [sys.executable, "-m", "enamelwright", "serve", "--home", home, "--port", str(port)], stdout=subprocess.DEVNULL
    )
    try:
        while True:
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=10).read()
                break
            except (URLError, OSError):
                time.sleep(0.02)
        first = time.perf_counter() - begun
        for path in ["/?wait=1", *(one.path for one in pages() if one.listed), "/designs/1/coats"]:
            urllib.request.urlopen(f"http://127.0.0.1:{port}{path}", timeout=60).read()
        status = Path(f"/proc/{server.pid}/status").read_text(encoding="utf-8")
        held = int(status.partition("VmRSS:")[2].split()[0]) / 1024
    finally:
        server.terminate()
        server.wait()
    print(f"first page after {first:.2f} s (claim {START}); a bare interpreter imports the libraries in {bare:.2f} s")
    print(f"the server holds {held:.0f} MB (claim {MEMORY})")


def filled(folder: Path) -> str:
    """Make a record of 10,000 firings and return its home."""
    import many

    from enamelwright.records.home import Home
    from enamelwright.records.opening import open_store

    store = open_store(Home(folder))
    many.fill(store)
    store.close()
    return str(folder)


def main() -> None:
    from playwright.sync_api import sync_playwright

    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--home", default="")
    asked.add_argument("--drags", type=int, default=6)
    asked.add_argument("--big", action="store_true", help="also the pages of a big record, and the server by itself")
    given = asked.parse_args()
    print(f"yardstick before: {1000 * yardstick():.1f} ms; load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    with served(given.home) as url, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        page = browser.new_page(viewport={"width": 1280, "height": 1400})
        page.goto(f"{url}/designs")
        page.get_by_role("link", name=SIX_COATS).click()
        address = page.url.split("?")[0]
        page.goto(f"{address}?at=0")
        waits, whole, kept = drag(page, given.drags)
        print(
            f"inputs answered: {len(waits)}; median {statistics.median(waits):.0f} ms, p95 {p95(waits):.0f} ms (claim {FIRST})"
        )
        server = page.evaluate(
            "() => performance.getEntriesByType('resource').filter((one) => one.name.endsWith('/preview')).map((one) => one.duration)"
        )
        print(f"  of which asking and computing: median {statistics.median(server):.0f} ms over {len(server)} requests")
        print(
            f"whole answer after letting go: median {statistics.median(whole):.0f} ms, most {max(whole):.0f} ms (claim {WHOLE})"
        )
        print(f"last value never lost: {'yes' if kept else 'NO'}")
        for path in (
            address.removeprefix(url),
            address.removeprefix(url).replace("coats", "shape"),
            "/designs",
            "/designs/new",
            "/quick",
            "/",
        ):
            times = loads(page, url + path)
            print(f"load {path}: median {statistics.median(times):.0f} ms, p95 {p95(times):.0f} ms (claim {PAGE})")
        every_page(page, url, PAGE)
        browser.close()
    if given.big:
        with tempfile.TemporaryDirectory() as folder:
            home = filled(Path(folder))
            with served(home) as url, sync_playwright() as play:
                browser = play.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
                print("with 10,000 firings:")
                every_page(browser.new_page(viewport={"width": 1280, "height": 800}), url, BIG_PAGE)
                browser.close()
            started(given.home or home)
    print(f"yardstick after: {1000 * yardstick():.1f} ms; load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()

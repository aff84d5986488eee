"""How quickly the app answers a hand, measured in a real browser on a six-coat piece.

Chromium drags the slider of one coat as a hand would, many small steps one after another. Counted is the time
from the input event to the moment after the frame in which an answer to it, or to a later one, is on the screen.
The whole answer, with every band, is counted from the last input. Loads of pages are counted from the request to
the load event. Beside each stands the yardstick of this machine, since two cores may be busy with other things.

Run: ``python benchmarks/browser.py [--home DIR] [--drags N]``; with DIR a studio that is there already, such as the
demonstration; a studio with the invented examples is made otherwise.
"""

from __future__ import annotations

import argparse
import os
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
#: Claims [ms]: 95 % of inputs answered, the whole band, and pages loaded.
FIRST, WHOLE, PAGE = 100, 1000, 150
#: A hand moves a slider about so often [ms].
STEP = 30
SIX_COATS = "Tide brooch"


@contextmanager
def served(home: str) -> Iterator[str]:
    import uvicorn

    from enamelwright.records.home import Home
    from enamelwright.web.app import create_app
    from enamelwright.web.serve import free_port
    from enamelwright.workshop.designs import keep_design
    from enamelwright.workshop.studio import Studio

    with tempfile.TemporaryDirectory() as folder:
        studio = Studio.open(Home(Path(home or folder)))
        if not home:
            for path in sorted((HERE / "examples").glob("*.toml")):
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


def main() -> None:
    from playwright.sync_api import sync_playwright

    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--home", default="")
    asked.add_argument("--drags", type=int, default=6)
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
        browser.close()
    print(f"yardstick after: {1000 * yardstick():.1f} ms; load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()

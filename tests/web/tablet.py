"""A tablet on the local network, run by a test: fires one load over plain http, and sends every entry twice."""

from __future__ import annotations

import sys
from urllib.parse import urlsplit

from playwright.sync_api import sync_playwright

CHROMIUM = "/usr/bin/chromium"
QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--host-resolver-rules=MAP bench.invalid 127.0.0.1",
)  # fmt: skip

#: A header that browsers heed on secure addresses only, and say so.
OPENER = "Cross-Origin-Opener-Policy"


def fire(url: str, token: str, piece: str) -> None:
    """Put a piece in, see it clear, take it out."""
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        context = browser.new_context(viewport={"width": 1024, "height": 768})
        context.add_cookies([{"name": "device", "value": token, "domain": urlsplit(url).hostname or "", "path": "/"}])
        page = context.new_page()
        wrong: list[str] = []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on(
            "console",
            lambda line: wrong.append(line.text) if line.type == "error" and OPENER not in line.text else None,
        )
        page.on(
            "response",
            lambda one: (
                wrong.append(
                    f"{one.status} {one.url} {one.request.resource_type} {one.request.is_navigation_request()}"
                )
                if one.status >= 400
                else None
            ),
        )
        page.clock.install()
        page.goto(f"{url}/kiln/ready?piece={piece}")
        page.wait_for_selector("#main[data-scripted]", state="attached")
        have = page.evaluate(
            "[isSecureContext, 'serviceWorker' in navigator, 'wakeLock' in navigator, 'mediaDevices' in navigator]"
        )
        assert have == [False, False, False, False], have
        # Everything is sent twice, as by a network that lost the first answer.
        page.evaluate(
            "const one = window.fetch; window.fetch = async (to, how) => {"
            " if (to === '/api/v1/entries') await one(to, how); return one(to, how); }; 0"
        )
        for what, then in (
            ("[data-main=put-in]", 120), (".stage[value=cleared]", 1), ("[data-main=out]", 1), ("[data-main=after]", 1),
        ):  # fmt: skip
            page.click(what)
            page.clock.run_for(then * 1000)
            if what == "[data-main=put-in]":
                assert page.is_visible("#lit")  # said in words, since the screen cannot be kept lit
        page.wait_for_selector("#waiting[data-waiting='0']", state="attached")
        browser.close()
        assert not wrong, wrong


if __name__ == "__main__":
    fire(*sys.argv[1:4])

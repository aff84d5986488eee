"""Every page there is: those of the navigation, and one or two of each kind of page their links lead to."""

from __future__ import annotations

import re
import urllib.request
from collections import deque
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.error import HTTPError
from urllib.parse import urldefrag, urljoin, urlsplit

from enamelwright.web.page import PAGES

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

AXE = Path(__file__).parent / "vendor" / "axe-4.14.1.min.js"
#: Pages of one kind that are looked at.
OF_A_KIND = 1
#: Links that leave the page for a file, or that only make sense with something told to them.
FILES = (".pdf", ".csv", ".svg", ".zip")
#: Where the name of a table stands in its address, behind its field.
TABLE = ("", "sources", "field")
#: The smallest target a gloved hand is asked to hit [CSS px].
TARGET = 44


def kind_of(path: str) -> str:
    """What kind of page an address is: its path without what differs from one thing to another."""
    parts = urlsplit(path)
    steps = ["#" if any(sign.isdigit() for sign in step) else step for step in parts.path.split("/")]
    if steps[1:2] == ["sources"] and len(steps) > len(TABLE):
        steps[len(TABLE) :] = ["#"]  # the tables of one field look alike
    keys = sorted({piece.partition("=")[0] for piece in parts.query.split("&") if piece})
    return "/".join(steps) + ("?" + "&".join(keys) if keys else "")


def text_of(url: str, path: str) -> str:
    """What the server sends for an address, whatever its status; empty when it is no page."""
    try:
        answer = urllib.request.urlopen(url + path, timeout=120)
    except HTTPError as error:
        answer = error
    with answer:
        return answer.read().decode() if answer.headers["content-type"].startswith("text/html") else ""


def links_of(url: str, path: str) -> list[str]:
    """Addresses of the app that a page links to."""
    found = []
    for link in re.findall(r'<a\b[^>]*?href="([^"]+)"', text_of(url, path)):
        target = urldefrag(urljoin(url + path, unescape(link)))[0]
        if target.startswith(url + "/"):
            found.append(target.removeprefix(url))
    return found


def everywhere(url: str) -> list[str]:
    """Return addresses of every kind of page, those of the registry first, then what they lead to."""
    listed = [page.path for page in PAGES if page.listed]
    seen: dict[str, int] = {}
    found: list[str] = []
    queue = deque(listed + ["/first", "/pair", "/no-such-page"])
    while queue:
        path = queue.popleft()
        kind = kind_of(path)
        if seen.get(kind, 0) >= OF_A_KIND or path in found or urlsplit(path).path.endswith(FILES):
            continue
        seen[kind] = seen.get(kind, 0) + 1
        found.append(path)
        queue.extend(links_of(url, path))
    return found


#: Returns what is too small to hit: every control that is shown, but links that stand in a sentence (WCAG 2.2, 2.5.8).
SMALL = """(least) => {
  const found = [];
  for (const one of document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button], [tabindex="0"]')) {
    if (!one.checkVisibility({ checkVisibilityCSS: true, checkOpacity: true }) || one.classList.contains('skip') || one.disabled) continue;
    if (one.matches('.scroll, [role=region], svg *') ) continue;
    const target = (one.type === 'checkbox' || one.type === 'radio') ? one.closest('label') || one : one;
    const box = target.getBoundingClientRect();
    if (!box.width || !box.height) continue;
    if (one.tagName === 'A') {
      const around = one.parentElement, words = around.textContent.trim().length - one.textContent.trim().length;
      if (getComputedStyle(one).display.startsWith('inline') && !getComputedStyle(one).display.includes('flex') && words > 2) continue;
    }
    if (box.width < least - .5 || box.height < least - .5)
      found.push(`${one.tagName.toLowerCase()}${one.className ? '.' + String(one.className.baseVal ?? one.className).split(' ').join('.') : ''} "${(one.textContent || one.name || '').trim().slice(0, 30)}" ${Math.round(box.width)}x${Math.round(box.height)}`);
  }
  return found;
}"""

#: Returns by how much the page is wider than the window, and what sticks out.
WIDE = """() => {
  const page = document.scrollingElement, over = page.scrollWidth - page.clientWidth;
  if (over <= 0) return [];
  const out = [];
  for (const one of document.querySelectorAll('main *, header *, nav *')) {
    const box = one.getBoundingClientRect();
    if (box.right > page.clientWidth + 1 && !one.closest('.scroll') && one.checkVisibility()) out.push(`${one.tagName.toLowerCase()}.${String(one.className.baseVal ?? one.className).split(' ')[0]} to ${Math.round(box.right)}`);
  }
  return [`${over} px too wide`, ...out.slice(0, 4)];
}"""

#: Runs axe with the rules of WCAG 2.2 A and AA and its best practices; returns one line for each thing found.
CHECK = """async () => {
  const found = await axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'], resultTypes: ['violations'] });
  return found.violations.flatMap((one) => one.nodes.map((node) => `${one.id}: ${node.target.join(' ')} ${(node.any[0] || node.all[0] || node.none[0] || {}).message || ''}`.slice(0, 260)));
}"""


@dataclass
class Watched:
    """A page of the browser, and everything it complained of or asked outside this machine."""

    page: Page
    complaints: list[str]


def watch(browser: Browser, url: str, width: int, height: int, light: str = "light", **more: Any) -> Watched:
    """Open a page that notes console errors, exceptions, failed requests and requests to anywhere else."""
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=light, reduced_motion="reduce", **more
    )
    page, complaints = context.new_page(), []

    def told(message: Any) -> None:
        itself = message.location.get("url") == page.url  # a page that answers with trouble says so in its status
        if message.type in {"error", "warning"} and not itself:
            complaints.append(f"console, {page.url.removeprefix(url)}: {message.text[:200]}")

    def asked(request: Any) -> None:
        if not request.url.startswith((url, "data:", "blob:")):
            complaints.append(f"asks outside, {page.url.removeprefix(url)}: {request.url[:120]}")

    page.on("console", told)
    page.on(
        "pageerror", lambda error: complaints.append(f"exception, {page.url.removeprefix(url)}: {str(error)[:200]}")
    )
    page.on("request", asked)
    return Watched(page, complaints)


def axe(page: Page) -> list[str]:
    """Return what axe finds on the page as it stands."""
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(AXE.read_text("utf-8"))
    found: list[str] = page.evaluate(CHECK)
    return found


def settled(page: Page) -> None:
    """Wait until the parts of the page that come later are there."""
    page.wait_for_function("() => !document.querySelector('.htmx-request, [hx-trigger=load]')", timeout=60_000)

"""The page of firing windows: sizes, gauges, hardness and supports; published settings; what matters how much.

Run ``python -m craft.window.pages`` in the folder ``tests``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from craft.window.asked import ask, bench
from published.settings_cases import Setting, best_constant, interval_score, mean, settings

from enamelwright.craft.kiln_use import door_lines
from enamelwright.craft.operation import Window
from enamelwright.craft.window.facts import number

PAGE = Path(__file__).parents[3] / "docs" / "look-up" / "firing-windows.md"
AGAIN = "run in the folder tests: python -m craft.window.pages"
SIZES, GAUGES = (20, 32, 50, 75, 100, 150), (0.5, 0.9, 1.2)
HARDNESS, SUPPORTS = ("soft", "medium", "hard"), ("mesh", "trivet", "plate")
SET = 800
#: Told to the nearest so many seconds: finer would be false.
STEP = 5

#: One fact changed at a time, about the ordinary disc.
CHANGES: tuple[tuple[str, dict[str, Any]], ...] = (
    ("as it is: 32 mm x 0.9 mm copper, one coat of 0.2 mm, medium, mesh, set 800 °C", {}),
    ("kiln 10 °C hotter than it shows", {"reads_high_k": -10}),
    ("kiln 10 °C cooler than it shows", {"reads_high_k": 10}),
    ("set 20 °C lower", {"set_point_c": 780}),
    ("set 20 °C higher", {"set_point_c": 820}),
    ("sheet 0.6 mm", {"thickness_mm": 0.6}),
    ("sheet 1.2 mm", {"thickness_mm": 1.2}),
    ("coat 0.15 mm", {"coat_mm": 0.15}),
    ("coat 0.3 mm", {"coat_mm": 0.3}),
    ("60 mesh powder", {"mesh": 60}),
    ("150 mesh powder", {"mesh": 150}),
    ("over 0.2 mm already fired", {"under_mm": 0.2}),
    ("0.2 mm of enamel on the back", {"back_mm": 0.2}),
    ("ceramic plate under it", {"support": "plate"}),
    ("four pieces at once", {"pieces": 4}),
    ("fine silver", {"metal": "fine silver"}),
    ("soft enamel", {"jar": "soft"}),
    ("hard enamel", {"jar": "hard"}),
)


def _round(seconds: float) -> str:
    return f"{STEP * round(seconds / STEP)}"


def span(window: Window) -> str:
    """Early, likely and late seconds."""
    found = window.seconds
    if found is None:
        return "not in 15 min"
    late = "…" if found.high >= number("longest") else _round(found.high)
    return f"{_round(found.low)}–**{_round(found.value)}**–{late}"


def _over(window: Window) -> str:
    """When over-firing is likely."""
    if window.over is None or window.over.value >= number("longest"):
        return "beyond 15 min"
    return f"{_round(window.over.value)} s"


def _sizes() -> Iterator[str]:
    yield "| disc, sheet | " + " | ".join(f"{jar}, {on}" for jar in HARDNESS for on in SUPPORTS) + " |"
    yield "| --- |" + " --- |" * (len(HARDNESS) * len(SUPPORTS))
    for size in SIZES:
        for gauge in GAUGES:
            cells = [
                span(ask(jar=jar, support=on, diameter_mm=size, thickness_mm=gauge, set_point_c=SET))
                for jar in HARDNESS
                for on in SUPPORTS
            ]
            yield f"| {size} mm, {gauge} mm | " + " | ".join(cells) + " |"


def _published(found: tuple[Setting, ...]) -> Iterator[str]:
    yield "| setting | printed | window worked out | late/early | inside | over-fired from | used for | status | remark |"
    yield "| --- | --- | --- | --- | --- | --- | --- | --- | --- |"
    for one in found:
        low, high = one.seconds
        printed = f"{low:.0f} s" if low == high else f"{low:.0f} to {high:.0f} s"
        over = _over(one.window)
        told = {"past": "past gloss on purpose"}.get(one.verdict, one.verdict)
        yield (
            f"| {one.id} | {one.set_point - 273.15:.0f} °C, {printed}, {told} | {span(one.window)} s | "
            f"{one.window.width or math.nan:.1f} | {'yes' if one.holds() else 'no'} | {over} | "
            f"{'fit' if one.use == 'calibration' else 'test'} | {one.status} | {one.note} |"
        )


def _sensitivity() -> Iterator[str]:
    yield "| what is different | taken out | over-fired from | late/early |"
    yield "| --- | --- | --- | --- |"
    for words, change in CHANGES:
        window = ask(**change)
        over = _over(window)
        yield f"| {words} | {span(window)} s | {over} | {window.width or math.nan:.1f} |"


def _door() -> Iterator[str]:
    yield "| door open | load | display falls to | what a piece sees falls to | display back within 10 °C after |"
    yield "| --- | --- | --- | --- | --- |"
    for load in ("none", "mesh", "plate"):
        for line in door_lines(None, SET + 273.15, load):
            back = "later than 20 min" if line.display_back is None else f"{line.display_back:.0f} s"
            yield (
                f"| {line.open_seconds:.0f} s | {load} | {line.lowest_display - 273.15:.0f} °C | "
                f"{line.lowest_seen - 273.15:.0f} °C | {back} |"
            )


def page() -> str:
    """Return the page."""
    found = settings()
    done = [one for one in found if one.verdict == "done"]
    hits = sum(one.holds() for one in done)
    tested = [one for one in done if one.use == "test"]
    fitted = [one.middle for one in done if one.use == "calibration"]
    ours = mean([one.score() for one in tested])
    constant = mean([interval_score(*best_constant(fitted), one.middle) for one in tested])
    outside = ", ".join(one.id for one in done if not one.holds())
    widths = sorted(one.window.width for one in done if one.window.width is not None)
    lines = [
        "# Firing windows",
        "",
        "Generated by `python -m craft.window.pages` in the folder `tests`. Times are seconds from closing the door",
        "until a glossy piece is taken out: early, **likely**, late, in an ordinary small fibre kiln nobody has checked,",
        "with jars nobody has calibrated; gloss itself shows a little before. [Why](../why/the-gloss-clock.md) says how they come about. They are a plan",
        "for looking, not for leaving the kiln alone.",
        "",
        f"## Copper discs, one coat of 0.2 mm, set {SET} °C",
        "",
        *_sizes(),
        "",
        "## What matters, and how much",
        "",
        *_sensitivity(),
        "",
        "## Settings in print, beside the windows worked out for them",
        "",
        f"{hits} of {len(done)} lie inside; outside: {outside}. Late over early is {widths[len(widths) // 2]:.1f} in the "
        "middle of them; with a checked",
        "kiln and a learned jar it is near 2.2. Rows used for the fit set how long a jar takes at its stated temperature, "
        "how wide a class of jars is",
        "and how far the law of gloss is trusted; the others check it, though they were seen while the model was chosen and so "
        "are no clean test. Their interval score (width in ln of seconds plus "
        f"misses, lower is better) is {ours:.2f}, that of",
        f"the best single window for all pieces {constant:.2f}. Size, coat and jar are ours where the source is silent.",
        "",
        *_published(found),
        "",
        "## The door",
        "",
        "What opening the door does to the usual kiln at 800 °C.",
        "",
        *_door(),
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    bench()
    PAGE.write_text(page(), encoding="utf-8")

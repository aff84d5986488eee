"""How far colours were from their forecast, and which kinds of stack the furthest, as the page of it shows them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from math import sqrt
from statistics import fmean

from markupsafe import Markup

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.fired_tile import TileStack
from enamelwright.craft.colour.jar_optics import class_of
from enamelwright.craft.metal import metal
from enamelwright.learning.colour_tiles import Beside, alike_key
from enamelwright.pictures import learned_charts
from enamelwright.web.learned_view import LISTED, chart
from enamelwright.workshop.own_colours import own_colours
from enamelwright.workshop.studio import Studio

#: Tiles a half needs so that its average is told, and the share of it by which two of them are alike.
TELLING, ALIKE = 5, 0.1
#: Kinds of stack that are so many times further off than half of all are named, and so many of them.
FAR_OFF, FURTHEST = 2.0, 4


@dataclass(frozen=True)
class ColourFared:
    """How far colours were from their forecast: in words, as a picture, and the newest tiles."""

    words: str
    caption: str
    furthest: list[tuple[str, str]]
    picture: Markup
    rows: list[tuple[str, str, str]]


def colour_fared(studio: Studio, known: Bench) -> ColourFared | None:
    """Return how colours that were foretold fared against fired tiles; None without such tiles.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        The bench of this moment.
    """
    fared = own_colours(studio, known)
    unseen = [one for one in fared.beside.values() if one.unseen]
    if not unseen:
        return None
    off = [one.off for one in unseen]
    squares = list(accumulate(one**2 for one in off))
    average = [(total / n) ** 0.5 for n, total in enumerate(squares, 1)]
    half = len(off) // 2
    caption = "Each dot is a tile, the line the average so far."
    if half >= TELLING:
        first, last = (sqrt(fmean(one**2 for one in some)) for some in (off[:half], off[-half:]))
        how = (
            "as far off as" if abs(first - last) < ALIKE * first else "nearer than" if last < first else "further than"
        )
        caption = f"The newer half was {last:.1f} off, {how} the older with {first:.1f}."
    rows = [
        (one.tile.name, " over ".join(coat.jar for coat in reversed(one.tile.coats)), f"{one.off:.1f}")
        for one in unseen[: -LISTED - 1 : -1]
    ]
    now = sqrt(fmean(one**2 for one in fared.taught.values()))
    words = fared.running.words()
    if fared.running.earned and now < (1 - ALIKE) * fared.running.off:
        words += f". With what the others of its kind teach, each would be {now:.1f} off on average today"
    picture = learned_charts.colour_course([round(one, 2) for one in off], [round(one, 2) for one in average])
    return ColourFared(
        f"{words[:1].upper()}{words[1:]}.",
        caption,
        _furthest(unseen, fared.taught, known, FAR_OFF * fared.running.half),
        chart(picture),
        rows,
    )


def _furthest(
    unseen: Sequence[Beside], taught: Mapping[str, float], known: Bench, bound: float
) -> list[tuple[str, str]]:
    """Return (jar, words) of the kinds of stack that are further off than a bound, the furthest first."""
    kinds: dict[tuple[str, ...], list[Beside]] = {}
    for one in unseen:
        kinds.setdefault(alike_key(one.tile, known), []).append(one)
    means = {key: fmean(one.off for one in mine) for key, mine in kinds.items() if len(mine) > 1}
    far = sorted((key for key, mean in means.items() if mean > bound), key=lambda key: -means[key])
    found = []
    for key in far[:FURTHEST]:
        mine = kinds[key]
        now = fmean(taught[one.tile.name] for one in mine)
        learned = f", now {now:.0f}" if now < (1 - ALIKE) * means[key] else ""
        found.append(
            (
                mine[0].tile.coats[-1].jar,
                f"{_on(mine[0].tile, known)}: {means[key]:.0f} off over {len(mine)} tiles{learned}",
            )
        )
    return found


def _on(tile: TileStack, known: Bench) -> str:
    """Say what the uppermost glass of a tile lies on."""
    ground = f"{metal(tile.foil).name} foil" if tile.foil else metal(tile.metal).name
    below = list(dict.fromkeys(class_of(known.jar(coat.jar)) for coat in tile.coats[:-1]))
    return f"over {below[-1]} on {ground}" if below else f"on {ground}"

"""Numbers and names as the bench reads them: ranges as ``likely between``, °C beside °F, long words broken."""

from __future__ import annotations

import re
from functools import lru_cache

from enamelwright import units
from enamelwright.cards.signs import drawable
from enamelwright.craft.piece import Technique
from enamelwright.figure import Figure
from enamelwright.pictures.section import millimetres as millimetres

#: A word longer than this may break anywhere [characters].
LONG_WORD = 16
#: Where one sentence ends and the next begins.
SENTENCE_END = re.compile(r"(?<=[.!?]) +(?=[A-Z])")
#: The names a caution lists between what it is about and what to do: ``Lead in a; b: lay it wet``.
NAMES = re.compile(r"^([^:.]*?)(?:: | in | for )[^.]*: ")
#: Balance steps shown on paper [g].
SMALL_WEIGHT = 10.0

TECHNIQUES: dict[Technique, str] = {
    "sift_opaque": "sifted opaque", "transparent_flux": "transparent over flux",
    "transparent_direct": "transparent on bare metal", "stencil": "stencil", "sgraffito_dry": "sgraffito, dry",
    "sgraffito_liquid": "sgraffito through slip", "cloisonne_silver": "cloisonné on silver",
    "cloisonne_copper": "cloisonné on copper", "champleve": "champlevé", "basse_taille": "basse-taille",
    "plique_open": "plique-à-jour, open", "plique_backed": "plique-à-jour, backed",
    "plique_etched": "plique-à-jour, etched", "grisaille": "grisaille", "limoges": "painted on thin metal",
    "overglaze": "over-painting", "foil": "foil under transparent", "liquid": "slip",
    "placed_glass": "threads and lumps",
    "torch": "torch-fired", "steel": "steel with ground coat", "high_fire": "deliberate breakthrough",
    "both_sides": "both faces at once",
}  # fmt: skip


def plain(text: str, longest: int = 0) -> str:
    """Prepare a person's text for paper: signs the type has, no runaway words, at most `longest` signs."""
    text = " ".join(drawable(text).split())
    if longest and len(text) > longest:
        cut = text[: longest - 1]
        whole = cut[: cut.rfind(" ")] if " " in cut[longest // 2 :] else cut
        text = whole.rstrip(" ,;:.") + "…"
    return " ".join(_breakable(word) for word in text.split(" "))


def together(text: str) -> str:
    """Keep a short fact on one line: its blanks and hyphens do not break."""
    return text.replace(" ", "\u00a0").replace("-", "\u2011") if len(text) <= LONG_WORD else text


def _breakable(word: str) -> str:
    if len(word) <= LONG_WORD:
        return word
    return "\u200b".join(word[start : start + LONG_WORD // 2] for start in range(0, len(word), LONG_WORD // 2))


def grams(figure: Figure, times: int = 1) -> str:
    """Write a weight [kg], taken so many times, to what a small balance shows."""
    value = units.from_si(figure.value * times, "g", "mass")
    return f"{value:.2f} g" if value < SMALL_WEIGHT else f"{value:.1f} g"


def celsius(value: float) -> str:
    """Write a temperature [K] as a kiln's display would."""
    return f"{units.from_si(value, '°C', 'temperature'):.0f} °C"


def fahrenheit(value: float) -> str:
    """Write a temperature [K] as a kiln's display would."""
    return f"{units.from_si(value, '°F', 'temperature'):.0f} °F"


def clock(seconds: float) -> str:
    """Write a time [s] as minutes and seconds, rounded to five seconds."""
    whole = int(5 * round(seconds / 5))
    minutes, rest = divmod(whole, 60)
    if not minutes:
        return f"{rest} s"
    return f"{minutes} min" if not rest else f"{minutes} min {rest} s"


def clock_range(figure: Figure) -> str:
    """Write a range of times [s]."""
    low, high = clock(figure.low), clock(figure.high)
    if low == high:
        return low
    if low.endswith(" min") and high.endswith(" min"):
        low = low.removesuffix(" min")
    return f"{low} to {high}"


@lru_cache(maxsize=512)
def _unit(dimension: str) -> str:
    return {"stress": "MPa", "temperature": "°C", "mass": "g"}.get(dimension, units.default_unit(dimension))


#: Words for the two signs of a figure that has a direction.
SIDES = {"stress": ("squeezed", "stretched"), "length": ("low", "high")}


def likely(figure: Figure) -> str:
    """Write a figure with its band: ``0.08 mm, likely between 0.02 and 0.15 mm``.

    A figure that can be negative says its direction in words: stress is squeezed or stretched, a
    rise is low or high.
    """
    unit = _unit(figure.dimension)
    width = figure.high - figure.low
    sides = SIDES.get(figure.dimension)
    if sides is not None and figure.low < 0:
        return _sided(figure, unit, width, sides)
    middle = units.show(figure.value, figure.dimension, unit, width)
    if figure.dimension == "count":
        middle = f"{figure.value:.0f}"
    if width <= 0:
        return f"{figure.value:.2g}" if figure.dimension == "ratio" else middle
    low, high = (units.show(end, figure.dimension, unit, width) for end in (figure.low, figure.high))
    if low == high:
        return middle
    return f"{middle}, likely between {low.removesuffix(unit).strip()} and {high}"


def _sided(figure: Figure, unit: str, width: float, sides: tuple[str, str]) -> str:
    def said(value: float, named: bool = True) -> str:
        amount = units.show(abs(value), figure.dimension, unit, width)
        return f"{amount} {sides[value >= 0]}" if named else amount

    if width <= 0:
        return said(figure.value)
    if figure.high <= 0:
        near, far = said(figure.high, False).removesuffix(unit).strip(), said(figure.low)
        return f"likely between {near} and {far}"
    return f"likely between {said(figure.low)} and {said(figure.high)}"


def sentences(text: str, longest: int) -> str:
    """Keep the whole sentences that fit `longest` signs; of a first one too long, its first clause.

    A clause ends at a semicolon. The answer ends with a full stop, or is empty when nothing whole fits.
    """
    flat = " ".join(text.split())
    if not flat:
        return ""
    kept = ""
    for sentence in SENTENCE_END.split(flat):
        whole = sentence if sentence[-1] in ".!?" else f"{sentence}."
        if len(kept) + len(whole) > longest:
            break
        kept = f"{kept} {whole}".strip()
    if not kept:
        clause = flat.split(";")[0].rstrip(" .,:") + "."
        kept = clause if ";" in flat and len(clause) <= longest else ""
    return plain(kept)


def whole_or_cut(text: str, longest: int) -> str:
    """Keep whole sentences; only where not one fits, cut between two words."""
    return sentences(text, longest) or plain(text, longest)


def shortened(text: str, longest: int) -> str:
    """Shorten a caution: first its list of names goes, then its last sentence; what to do stays."""
    flat = " ".join(text.split())
    if len(flat) > longest:
        flat = NAMES.sub(r"\1: ", flat, count=1)
    return whole_or_cut(flat, longest)

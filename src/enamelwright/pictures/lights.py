"""The three lights a picture is drawn in, the colour of every token, and how a glass is shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from enamelwright.craft.jar import Family, Kind
from enamelwright.craft.verdict import Level

Light = Literal["paper", "lamp", "daylight"]


@dataclass(frozen=True)
class Tokens:
    """Colours of one light, as ``#rrggbb``.

    Parameters
    ----------
    ground, panel : str
        What everything lies on.
    text, quiet : str
        Writing; at least 7:1 on ground and panel.
    rule : str
        Lines that are not writing; at least 3:1.
    action : str
        The one thing to press, and curves.
    level : dict
        Colour of each verdict level; always beside its shape and word.
    """

    ground: str
    panel: str
    text: str
    quiet: str
    rule: str
    action: str
    level: dict[Level, str]


LIGHTS: dict[Light, Tokens] = {
    "lamp": Tokens(
        "#1A1713", "#28231E", "#F4EFE4", "#C3CBD0", "#7C8A94", "#FFB347",
        {"good": "#6FD3B8", "watch": "#F2D16B", "stop": "#FF9C8F"},
    ),
    "daylight": Tokens(
        "#FBF8F1", "#FFFFFF", "#15191C", "#444D53", "#6A747B", "#7D3B00",
        {"good": "#00594A", "watch": "#614A00", "stop": "#9B1B16"},
    ),
    "paper": Tokens(
        "#FFFFFF", "#FFFFFF", "#000000", "#000000", "#000000", "#000000",
        {"good": "#000000", "watch": "#000000", "stop": "#000000"},
    ),
}  # fmt: skip

LEVEL_WORDS: dict[Level, str] = {"good": "Good", "watch": "Watch", "stop": "Stop"}

#: Plausible colours of a fired coat by family; a drawing aid, not a prediction.
FAMILY_COLOURS: dict[Family, str] = {
    "clear": "#E9EEF0", "white": "#F6F3EC", "grey": "#9AA0A4", "black": "#22252A", "blue": "#2F5FA8",
    "green": "#3B8155", "yellow": "#E3C234", "warm yellow": "#E0A126", "orange": "#D9702B", "red": "#B5332F",
    "pink": "#DB97A6", "purple": "#6F4C91", "brown": "#7A5236", "mixed": "#8C857B",
}  # fmt: skip

#: Colour of bare metal by the first word found in its name.
METAL_COLOURS: tuple[tuple[str, str], ...] = (
    ("copper", "#B9704A"), ("gilding", "#B9824A"), ("brass", "#C2A14E"), ("silver", "#C9CDD0"),
    ("sterling", "#C9CDD0"), ("gold", "#D2AE55"), ("steel", "#7B8287"), ("iron", "#7B8287"),
)  # fmt: skip
OTHER_METAL = "#A5A29C"

Pattern = Literal["opaque", "transparent", "opalescent"]


def pattern_of(kind: Kind | None) -> Pattern:
    """Return how a glass is hatched: by whether light passes it, passes it scattered, or does not pass."""
    if kind in ("transparent", "flux"):
        return "transparent"
    return "opalescent" if kind == "opal" else "opaque"


def metal_colour(name: str) -> str:
    """Return the drawing colour of a metal called `name`."""
    folded = name.casefold()
    return next((colour for word, colour in METAL_COLOURS if word in folded), OTHER_METAL)


def luminance(colour: str) -> float:
    """Return the relative luminance of ``#rrggbb``, 0..1.

    Source: W3C, Web Content Accessibility Guidelines 2.2, "relative luminance".
    """
    channels = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, 1..21 (WCAG 2.2, "contrast ratio")."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)

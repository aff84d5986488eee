"""Colours for eyes of every kind: in words, beside the nearest chip, as other eyes see them, and which look alike."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright.craft.colour.colour_risk import limit
from enamelwright.craft.colour.light import seen_under
from enamelwright.craft.colour.look import screen_colour
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import xyz_of_lab
from enamelwright.physics.colour.colour_vision import alike, lab_as_seen
from enamelwright.reference.loader import rows, value

Array = npt.NDArray[np.float64]
Lab = tuple[float, float, float]
Eyes = Literal["protan", "deutan", "tritan"]
EYES: tuple[Eyes, ...] = ("deutan", "protan", "tritan")
_FULL = 360.0  # degrees of a turn


@dataclass(frozen=True)
class LookAlike:
    """Two colours that ordinary eyes tell apart and some eyes hardly do.

    Parameters
    ----------
    one, other : str
        What they are of.
    eyes : tuple of str
        To which eyes, as :data:`EYES`.
    apart, close : float
        CIEDE2000 to ordinary eyes; to the eyes that tell them apart least.
    """

    one: str
    other: str
    eyes: tuple[Eyes, ...]
    apart: float
    close: float

    @property
    def words(self) -> str:
        """Say it in one sentence."""
        cones = " or ".join(eye_words(one) for one in self.eyes)
        return f"{self.one} and {self.other} look alike to eyes with {cones}."


@lru_cache(maxsize=len(EYES))
def _matrix(eyes: Eyes) -> Array:
    table = {row["row"]: [float(row[part]) for part in "rgb"] for row in rows("colour/eyes_of") if row["eyes"] == eyes}
    return np.array([table[part] for part in "rgb"])


@lru_cache(maxsize=len(EYES))
def eye_words(eyes: Eyes) -> str:
    """Say what some eyes have few of."""
    return next(row["words"] for row in rows("colour/eyes_of") if row["eyes"] == eyes)


def as_seen(lab: npt.ArrayLike, eyes: Eyes) -> Array:
    """Lab of colours as other eyes would see them.

    Parameters
    ----------
    lab : array_like, shape (..., 3)
        Under daylight D65.
    eyes : str
        One of :data:`EYES`.
    """
    white = seen_under("D65").white
    return lab_as_seen(np.maximum(xyz_of_lab(lab, white), 0.0), _matrix(eyes), white)


def screen_as_seen(lab: Sequence[float], eyes: Eyes) -> str:
    """Return the screen colour, ``#rrggbb``, that shows ordinary eyes what other eyes see."""
    return screen_colour(as_seen(lab, eyes).tolist())[0]


def look_alikes(colours: Mapping[str, Sequence[float]]) -> tuple[LookAlike, ...]:
    """Find pairs of colours that some eyes hardly tell apart, each pair once, the most alike first.

    Parameters
    ----------
    colours : mapping of str to Lab
        What they are of, under daylight D65.
    """
    names = list(colours)
    if len(names) < 2:
        return ()
    lab = np.array([colours[name] for name in names], dtype=np.float64)
    found: dict[tuple[int, int], dict[Eyes, float]] = {}
    for eyes in EYES:
        seen = as_seen(lab, eyes)
        for one, other in alike(lab, seen, limit("eyes/apart"), limit("eyes/close")):
            found.setdefault((one, other), {})[eyes] = float(ciede2000(seen[one], seen[other]))
    pairs = [
        LookAlike(names[one], names[other], tuple(close), float(ciede2000(lab[one], lab[other])), min(close.values()))
        for (one, other), close in found.items()
    ]
    return tuple(sorted(pairs, key=lambda pair: pair.close))


def difference_words(target: Sequence[float], lab: Sequence[float]) -> str:
    """Say how a colour differs from another: ``darker by 6, bluer by 4``.

    Parameters
    ----------
    target, lab : sequence of float
        Lab; the words speak of the second.
    """
    light, steps = float(lab[0]) - float(target[0]), _colour_steps(target, lab)
    found = [(light, "lighter" if light > 0 else "darker"), *steps]
    told = sorted((one for one in found if abs(one[0]) >= limit("eyes/word")), key=lambda one: -abs(one[0]))
    if not told:
        return "no difference worth a word"
    return ", ".join(f"{word} by {abs(by):.0f}" for by, word in told)


#: What more and less of a* and of b* are called, and the colour there is less of on either side of grey.
_AXES = ((("redder", "greener"), ("red", "green")), (("yellower", "bluer"), ("yellow", "blue")))


def _colour_steps(target: Sequence[float], lab: Sequence[float]) -> list[tuple[float, str]]:
    """Say how far a colour moved and whereto: a pale blue that fades is less blue, not yellower."""
    olds, news = ([float(one) for one in colour[1:]] for colour in (target, lab))
    steps = [new - old for old, new in zip(olds, news, strict=True)]
    same_side = all(old * new > 0 for old, new in zip(olds, news, strict=True))
    if same_side and min(map(abs, steps)) >= limit("eyes/word"):
        strong, faint = math.hypot(*olds), math.hypot(*news)
        turn = math.asin(min(1.0, abs(olds[0] * news[1] - olds[1] * news[0]) / (strong * faint)))
        if turn < limit("eyes/same_hue"):
            return [(faint - strong, "stronger" if faint > strong else "greyer")]
    words = []
    for old, new, step, (more, colours) in zip(olds, news, steps, _AXES, strict=True):
        fades = old * new >= 0 and abs(new) < abs(old)
        words.append((step, f"less {colours[old < 0]}" if fades else more[step < 0]))
    return words


def closeness(difference: float) -> str:
    """Say a CIEDE2000 in one word: same, very close, visible or different."""
    for word, key in (("the same", "same"), ("very close", "close"), ("visible", "visible")):
        if difference < value(f"colour/words/{key}"):
            return word
    return "different"


def plain_name(lab: Sequence[float]) -> str:
    """Name a colour in plain words: ``dark blue``, ``greyish green``, ``pinkish white``."""
    light, red, yellow = (float(one) for one in lab)
    if not all(map(math.isfinite, (light, red, yellow))):
        return "not known"
    chroma, hue = math.hypot(red, yellow), math.degrees(math.atan2(yellow, red)) % _FULL
    table = rows("colour/hue_words")
    # A hue a hair below nothing becomes a full turn, which belongs to the last word.
    row = next((row for row in table if float(row["from"]) <= hue < float(row["to"])), table[-1])
    is_light = light >= limit("words/pale")
    if chroma < limit("words/grey"):
        if light >= limit("words/white"):
            return "white" if chroma < limit("words/pure") else f"{row['tint']} white"
        if light < limit("words/black"):
            return "black"
        return f"{'light ' if is_light else 'dark ' if light < limit('words/dark') else ''}grey"
    if is_light:
        word = row["strong" if chroma >= limit("words/strong") else "pale"]
    else:
        word = row["dark" if light < float(row["dark_below"]) else "muted" if chroma < limit("words/muted") else "word"]
    return f"greyish {word}" if chroma < limit("words/greyish") else word


@lru_cache(maxsize=1)
def _chips() -> tuple[tuple[str, ...], Array]:
    table = rows("colour/munsell")
    return tuple(row["chip"] for row in table), np.array([[float(row[part]) for part in "lab"] for row in table])


def munsell_words(lab: Sequence[float]) -> str:
    """Name the nearest chip of the Munsell renotation: ``near 7.5PB 3/12``; chips lie some 3 CIEDE2000 apart."""
    if not np.isfinite(np.asarray(lab, np.float64)).all():
        return "not known"
    names, chips = _chips()
    return f"near {names[int(np.argmin(ciede2000(np.asarray(lab, np.float64), chips)))]}"

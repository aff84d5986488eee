"""The colours of tiles in one photo, from what the camera saw of them and of a card of known colours."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from enamelwright.craft.colour.light import LightName, Observer, seen_under
from enamelwright.craft.colour.tile_photo import EDITIONS, Card, Coding, Region, TilePhoto
from enamelwright.errors import InputError
from enamelwright.physics.colour.camera_fit import CameraFit, Placing, fit_camera, grey_curve, placing_of
from enamelwright.physics.colour.colour_space import (
    adapted,
    lab_of,
    linear_srgb_of,
    untoned,
    xyz_of_lab,
    xyz_of_linear_srgb,
)
from enamelwright.reference.loader import facts_of, value

Array = npt.NDArray[np.float64]
Straighten = Callable[[Array], Array]

#: Light and observer of the values of cards, and of every colour read from a photo.
LIGHT: LightName = "D50"
OBSERVER: Observer = "2"
#: Light below which a card is black and says nothing, of full scale.
DARKEST_CARD = 1e-4
#: L* and |a*|, |b*| above which no surface is seen.
MOST_LIGHT, MOST_COLOUR = 110.0, 150.0
#: Chroma up to which a patch counts as grey, and the least greys that make a curve (own choice).
GREY_CHROMA, FEWEST_GREYS = 5.0, 5


def number(key: str) -> float:
    """Return one number of the table of readings and fits.

    Parameters
    ----------
    key : str
        e.g. ``"chart_stop"``.
    """
    return facts_of("colour/reading")[f"colour/{key}"].value


@dataclass(frozen=True)
class TileColour:
    """One tile as read.

    Attributes
    ----------
    name : str
        Its name.
    lab : tuple of float or None
        L*, a*, b* for D50 and 2 degrees; None when it cannot be read.
    error : float
        How far off it may be [CIEDE2000].
    words : tuple of str
        What is wrong with it.
    """

    name: str
    lab: tuple[float, float, float] | None
    error: float
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class PatchRead:
    """One patch of the card as read.

    Attributes
    ----------
    name : str
        What it is called.
    lab : tuple of float
        What the card says it is, for D50 and 2 degrees.
    off : float or None
        How far the others foretell it from that [CIEDE2000]; None where it was not used.
    place : tuple of float or None
        Where in the picture it was read [pixels].
    """

    name: str
    lab: tuple[float, float, float]
    off: float | None
    place: tuple[float, float] | None


@dataclass(frozen=True)
class PhotoColours:
    """Everything one photo tells.

    Attributes
    ----------
    tiles : tuple of TileColour
        In the order they were given.
    absolute : bool
        False when only tiles of this photo may be compared with each other.
    card_error : float or None
        Mean difference of the card's patches, each predicted from the others.
    dropped : tuple of str
        Patches that were not used because they do not fit.
    left_off : tuple of str
        Patches that were not used because they are blown out.
    placing, curve, edition : str
        Which way round the card lay; how codes were turned into light; whose values were used.
    words : tuple of str
        What the maker should know.
    patches : tuple of PatchRead
        Of the card, row by row; empty for a grey card.
    fit : CameraFit or None
        The correction itself.
    """

    tiles: tuple[TileColour, ...]
    absolute: bool
    card_error: float | None
    dropped: tuple[str, ...]
    left_off: tuple[str, ...]
    placing: str
    curve: str
    edition: str
    words: tuple[str, ...]
    patches: tuple[PatchRead, ...] = ()
    fit: CameraFit | None = None
    straighten: Straighten | None = None

    @property
    def level(self) -> str:
        """Judge the photo: ``good`` or ``watch``; a photo to be stopped is refused."""
        return "good" if self.card_error is not None and self.card_error <= number("chart_watch") else "watch"

    def to_screen(self) -> Array:
        """Return rows from X, Y, Z under the light of the card to linear light of a screen, white kept white."""
        daylight = xyz_of_linear_srgb(np.ones(3))
        return np.asarray(linear_srgb_of(adapted(np.eye(3), white(), daylight)).T)


@lru_cache(maxsize=1)
def white() -> Array:
    """X, Y, Z of white under the light of the cards' values."""
    return seen_under(LIGHT, OBSERVER).white


def linear(codes: npt.ArrayLike, coding: Coding) -> Array:
    """Turn codes of a picture into light.

    Parameters
    ----------
    codes : array_like
        0 to 1.
    coding : str
        ``screen`` or ``linear``.
    """
    given = np.clip(np.asarray(codes, dtype=np.float64), 0.0, 1.0)
    return np.asarray(untoned(given)) if coding == "screen" else given


def colours_of(photo: TilePhoto) -> PhotoColours:
    """Work out the colours of the tiles in a photo.

    Parameters
    ----------
    photo : TilePhoto
        Readings of card and tiles.

    Raises
    ------
    InputError
        When there is no such card in the photo, too much of it is covered or blown out, or its patches
        do not agree with each other.
    """
    patches, tiles = (_light_of(regions, photo.coding) for regions in (photo.patches, photo.tiles))
    if photo.card.kind == "grey":
        return _by_grey(photo, patches, tiles)
    fine = np.array([region.clipped <= number("clipped_share") for region in photo.patches])
    edition, place = _find_card(photo.card, patches, fine)
    names = photo.card.names()
    known = _xyz(photo.card, edition)
    seen, fine = patches[place.order], fine[place.order]
    fit, curve, straighten = _best(seen, known, fine, photo)
    if fit.error > number("chart_stop"):
        raise InputError(
            f"the patches of the card disagree with each other by {fit.error:.1f} on average.",
            "Take the photo again without reflections on the card, or check its corners.", "card",
        )  # fmt: skip
    left_off = tuple(names[n] for n in np.flatnonzero(~fine))
    words = [*_card_words(fit, place, names, left_off), *_edition_words(photo.card, edition, seen, fine)]
    error = _tile_error(fit, photo)
    lab = fit.lab(straighten(tiles))
    return PhotoColours(
        tiles=tuple(_tile(region, row, error) for region, row in zip(photo.tiles, lab, strict=True)),
        absolute=True,
        card_error=fit.error,
        dropped=tuple(names[n] for n in fit.dropped),
        left_off=left_off,
        placing=place.name,
        curve=curve,
        edition=edition if photo.card.kind == "24 patches" else "own values",
        words=tuple(words),
        patches=tuple(
            PatchRead(name, lab, float(off) if np.isfinite(off) else None, photo.patches[n].place)
            for name, lab, off, n in zip(
                names,
                photo.card.values_of("" if edition == "unknown" else edition),
                fit.left_out,
                place.order.tolist(),
                strict=True,
            )
        ),
        fit=fit,
        straighten=straighten,
    )


def card_fits(card: Card, patches: tuple[Region, ...], coding: Coding) -> float:
    """Return how far readings are from being a card, whichever way round it lies: the less the better.

    Parameters
    ----------
    card : Card
        The card.
    patches : tuple of Region
        Readings, row by row.
    coding : str
        Of the picture.
    """
    fine = np.array([region.clipped <= number("clipped_share") for region in patches])
    return placing_of(_light_of(patches, coding), _xyz(card), white(), card.rows, card.columns, fine).off


def _light_of(regions: tuple[Region, ...], coding: Coding) -> Array:
    seen = linear([region.seen for region in regions], coding)
    papers = [region.paper for region in regions if region.paper is not None]
    if papers:
        paper = linear(papers, coding)
        if np.any(paper <= 0):
            raise InputError("the photo of the paper is black in places.", "Take it in the same light.", "paper")
        seen = seen / paper * paper.max()
    return seen


def _xyz(card: Card, edition: str = "") -> Array:
    return np.asarray(xyz_of_lab(np.array(card.values_of(edition)), white()))


def _find_card(card: Card, patches: Array, fine: npt.NDArray[np.bool_]) -> tuple[str, Placing]:
    """Return edition and placing that fit best; refuse what is not this card."""
    editions = EDITIONS if card.kind == "24 patches" and card.edition == "unknown" else (card.edition,)
    known = {edition: _xyz(card, edition if edition != "unknown" else "") for edition in editions}
    found = {
        edition: placing_of(patches, xyz, white(), card.rows, card.columns, fine) for edition, xyz in known.items()
    }
    best = min(found, key=lambda edition: found[edition].off)
    place = found[best]
    if int(fine.sum()) < len(fine) and not np.isfinite(place.off):
        raise InputError(
            f"{int((~fine).sum())} patches of the card are blown out.",
            "Take the photo again with less exposure, so that the white patch is not at full scale.", "card",
        )  # fmt: skip
    if not place.is_the_card:
        raise InputError(
            f"what lies between the corners is not this card: its patches are {place.off:.0f} off the right way round "
            "and more the others.",
            "Check which card it is and place the four points on the middles of its corner patches.", "card",
        )  # fmt: skip
    return best, place


def _best(
    seen: Array, known: Array, fine: npt.NDArray[np.bool_], photo: TilePhoto
) -> tuple[CameraFit, str, Straighten]:
    """Try the codes as they are and straightened by the greys; keep what predicts left-out patches better."""
    lab = lab_of(known, white())
    greys = fine & (np.hypot(lab[:, 1], lab[:, 2]) <= GREY_CHROMA)
    ways: dict[str, Straighten] = {photo.coding: lambda values: values}
    if greys.sum() >= FEWEST_GREYS:
        curve = grey_curve(seen[greys], known[greys, 1])
        if curve is not None:
            ways["straightened by the greys"] = curve
    found: dict[str, CameraFit] = {}
    refused: InputError | None = None
    for name, way in ways.items():
        try:
            found[name] = fit_camera(way(seen), known, white(), fine)
        except InputError as error:
            refused = refused or error
    if not found:
        assert refused is not None
        raise refused
    best = min(found, key=lambda name: (len(found[name].dropped), found[name].error))
    return found[best], best, ways[best]


def _tile_error(fit: CameraFit, photo: TilePhoto) -> float:
    factor = number("enamel_factor") * (number("screen_factor") if photo.coding == "screen" else 1.0)
    return float(np.hypot(fit.error * factor, value("colour/uncertainty/photograph")))


def _tile(region: Region, lab: Array, error: float) -> TileColour:
    words = []
    if region.clipped > number("clipped_share"):
        return TileColour(
            region.name, None, error,
            (f"{region.clipped:.0%} of it is blown out: take the photo again with less exposure",),
        )  # fmt: skip
    if not (np.all(np.isfinite(lab)) and 0 <= lab[0] <= MOST_LIGHT and np.all(np.abs(lab[1:]) <= MOST_COLOUR)):
        return TileColour(region.name, None, error, ("no surface has such a colour: check where it was read",))
    if region.glare > number("glare_share"):
        words.append(f"{region.glare:.0%} of it is glare: turn the tile or move the lamp")
    if region.uneven > number("uneven_share"):
        words.append("it is not of one colour: choose a smaller spot")
    return TileColour(region.name, (float(lab[0]), float(lab[1]), float(lab[2])), error, tuple(words))


def _card_words(fit: CameraFit, place: Placing, names: tuple[str, ...], left_off: tuple[str, ...]) -> list[str]:
    words = [f"the card's patches, each predicted from the others, are {fit.error:.1f} off on average"]
    if fit.error > number("chart_watch"):
        words.append("that is more than usual: a photo in better light would be worth it")
    if place.name != "as placed":
        words.append(f"the card lies {place.name} to how its corners were placed; that was put right")
    if fit.dropped:
        words.append(f"not used, because they do not fit: {', '.join(names[n] for n in fit.dropped)}")
    if left_off:
        words.append(f"not used, because they are blown out: {', '.join(left_off)}")
    if not fit.roots:
        words.append("so few patches allow only a simple correction")
    return words


def _edition_words(card: Card, edition: str, seen: Array, fine: npt.NDArray[np.bool_]) -> list[str]:
    if card.kind != "24 patches":
        return []
    if card.edition == "unknown":
        return [f"the card's values {edition} fit best; say how old it is, for editions differ by about 1"]
    other = next(one for one in EDITIONS if one != card.edition)
    plain = {
        one: fit_error
        for one in (card.edition, other)
        if (fit_error := _error_with(seen, _xyz(card, one), fine)) is not None
    }
    if len(plain) == 2 and plain[other] + number("edition_gain") < plain[card.edition]:
        return [f"the values {other} would fit the card better: check how old it is"]
    return []


def _error_with(seen: Array, known: Array, fine: npt.NDArray[np.bool_]) -> float | None:
    try:
        return fit_camera(seen, known, white(), fine).error
    except InputError:
        return None


def _by_grey(photo: TilePhoto, patches: Array, tiles: Array) -> PhotoColours:
    """Set white balance and exposure by a grey card: good for comparing tiles of this photo only."""
    if photo.patches[0].clipped > number("clipped_share"):
        raise InputError("the grey card is blown out.", "Take the photo again with less exposure.", "card")
    if np.any(patches[0] < DARKEST_CARD):
        raise InputError("the grey card is black in this photo.", "Check where it was read.", "card")
    grey = photo.card.reflectance if photo.card.reflectance is not None else number("grey_card_reflectance")
    balanced = tiles / patches[0] * grey
    lab = lab_of(np.maximum(_screen_xyz(balanced), 0.0), white())
    error = number("grey_card_error")
    return PhotoColours(
        tiles=tuple(_tile(region, row, error) for region, row in zip(photo.tiles, lab, strict=True)),
        absolute=False,
        card_error=None,
        dropped=(),
        left_off=(),
        placing="as placed",
        curve=photo.coding,
        edition="",
        words=(
            "a grey card sets only the white balance: compare the tiles of this photo with each other, and with no "
            f"other photo; as colours they are about {error:.0f} off",
        ),
    )


def _screen_xyz(rgb: Array) -> Array:
    """Take camera numbers for screen colours and move their white to that of the cards."""
    xyz = xyz_of_linear_srgb(rgb)
    return np.asarray(xyz * (white() / xyz_of_linear_srgb(np.ones(3))))

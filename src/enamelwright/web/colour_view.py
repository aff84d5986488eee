"""What the pages of colour draw: patches with their words, lights, tiles, and how other eyes see them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from enamelwright import units
from enamelwright.craft.colour.colour_risk import ColourRisk
from enamelwright.craft.colour.correction import moved
from enamelwright.craft.colour.eyes import EYES, difference_words, eye_words, munsell_words, plain_name, screen_as_seen
from enamelwright.craft.colour.fired_colour import ThicknessLook
from enamelwright.craft.colour.look import VIEWS, Look, View, screen_colour
from enamelwright.pictures.colour_patch import TALL, WIDE, patch_svg
from enamelwright.pictures.lights import Pattern, pattern_of
from enamelwright.reference.loader import value
from enamelwright.web.drawings import lit
from enamelwright.workshop.colours import ColourPlace, NearTile

Lab = tuple[float, float, float]
#: Size of the small patches [mm].
SMALL = (13.0, 9.0)


@dataclass(frozen=True)
class Patch:
    """One colour with everything that says it without colour.

    Parameters
    ----------
    picture : Markup
        The patch.
    head : str
        What it shows.
    name, lab, munsell : str
        In plain words; its three numbers; nearest chip.
    on_screen : bool
        Whether a screen can show it.
    """

    picture: Markup
    head: str
    name: str
    lab: str
    munsell: str
    on_screen: bool


@dataclass(frozen=True)
class PlaceView:
    """One place of a piece; see the template ``colour.html``."""

    key: str
    name: str
    coats: tuple[tuple[str, str, str], ...]
    ground: str
    why: str
    main: tuple[Patch, ...]
    band: tuple[Patch, ...]
    lights: tuple[tuple[str, str, str], ...]
    sure: str
    invented: tuple[str, ...]
    basis: tuple[str, ...]
    sources: tuple[str, ...]
    hides: str
    warned: tuple[ColourRisk, ...]
    noted: tuple[ColourRisk, ...]
    tiles: tuple[TileView, ...]
    learned: Patch | None = None
    shift: str = ""
    carved: tuple[Patch, ...] = ()


@dataclass(frozen=True)
class TileView:
    """One of the studio's own tiles beside a place."""

    number: str
    label: str
    words: str
    differs: tuple[str, ...]
    patch: Patch | None
    against: str
    itself: str
    match: str


@dataclass(frozen=True)
class EyeRow:
    """One place as each kind of eyes sees it."""

    name: str
    patches: tuple[Patch, ...]


def depth_words(thickness: float) -> str:
    """Write a fired thickness as it is laid: to a hundredth of a millimetre."""
    return f"{units.from_si(thickness, 'mm', 'length'):.2f} mm"


def lab_words(lab: Sequence[float]) -> str:
    """Write three numbers: ``L 40, a -20, b -20``."""
    return ", ".join(f"{axis} {one + 0.0:.0f}".replace("-0", "0") if abs(one) < 0.5 else f"{axis} {one:.0f}"
                     for axis, one in zip("Lab", lab, strict=True))  # fmt: skip


def match_address(lab: Sequence[float], view: View = "catching the light") -> str:
    """Return the address that looks for stacks of a colour, held as it was read.

    Parameters
    ----------
    lab : sequence of float
        In daylight.
    view : str
        How it was read.
    """
    held = "" if view == VIEWS[0] else f"&view={view.replace(' ', '+')}"
    return f"/match?lab={','.join(f'{part:.1f}' for part in lab)}{held}"


def patch(
    lab: Sequence[float], pattern: Pattern | None, head: str, key: str, *, screen: str = "", on_screen: bool = True,
    small: bool = False, chip: bool = True,
) -> Patch:  # fmt: skip
    """Draw a colour with its words.

    Parameters
    ----------
    lab : sequence of float
        In daylight.
    pattern : str or None
        Kind of glass; None for a colour that is only aimed at.
    head : str
        What it shows.
    key : str
        Start of every id.
    screen : str
        Its colour for a screen; worked out when empty.
    on_screen : bool
        Whether a screen can show it.
    small : bool
        A small patch.
    chip : bool
        Whether to name the nearest chip.
    """
    if not screen:
        screen, on_screen = screen_colour(lab)
    name = plain_name(lab)
    wide, tall = SMALL if small else (WIDE, TALL)
    drawn = lit(patch_svg(screen, pattern, f"{head}: {name}", wide=wide, tall=tall, key=key))
    return Patch(drawn, head, name, lab_words(lab), munsell_words(lab) if chip else "", on_screen)


def _look(look: Look, pattern: Pattern, head: str, key: str, **more: bool) -> Patch:
    return patch(look.lab, pattern, head, key, screen=look.hex, on_screen=look.in_gamut, **more)


def place_view(place: ColourPlace, number: int) -> PlaceView:
    """Gather one place for the page.

    Parameters
    ----------
    place : ColourPlace
        Foretold.
    number : int
        Its number on the page, for ids.
    """
    key = f"place-{number}"
    coats = tuple(
        (jar.id if len(jar.id) < 8 else "", jar.name, depth_words(coat.thickness))
        for jar, coat in zip(place.jars, place.stack.coats if place.stack else (), strict=False)
    )
    ground = ""
    if place.stack is not None:
        ground = f"{place.stack.foil} foil" if place.stack.foil else place.stack.metal
    colour = place.colour
    if colour is None:
        own = tuple(_tile(one, None, f"{key}-own-{n}", _pattern(place)) for n, one in enumerate(place.tiles))
        return PlaceView(
            key, place.name, coats, ground, place.why, (), (), (), "", (), (), (), "", (), (), own
        )  # fmt: skip
    pattern = _pattern(place)
    thin, nominal, thick = colour.looks
    carved = tuple(
        _look(one.catching, pattern, depth_words(one.depth), f"{key}-deep-{n}", small=True, chip=False)
        for n, one in enumerate(place.depths)
    )
    learned, shift = _learned(place, nominal.catching.lab, pattern, key)
    main = (
        _look(nominal.catching, pattern, "catching the light", f"{key}-light"),
        _look(nominal.away, pattern, "turned away", f"{key}-away"),
    )
    band = tuple(
        _look(look.catching, pattern, words, f"{key}-{look.name}", small=True, chip=False)
        for look, words in ((thin, thin.words), (nominal, "as planned"), (thick, thick.words))
    )
    lights = tuple((one.words, lab_words(one.lab), f"{one.shift:.1f}") for one in colour.by_light)
    hides = "the metal is hidden" if colour.hiding >= value("colour/hides/contrast") else "the metal shows through"
    sure = f"the curves of {', '.join(colour.unsure)} do not say how sure they are" if colour.unsure else ""
    if colour.sure_within is not None:
        sure = f"nine of ten lie within {colour.sure_within:.0f} of this"
    return PlaceView(
        key, place.name, coats, ground, "", main, band, lights, sure, colour.invented, colour.basis, colour.sources,
        hides, tuple(one for one in place.risks if one.severity == "warn"),
        tuple(one for one in place.risks if one.severity == "note"),
        tuple(_tile(one, nominal, f"{key}-own-{n}", pattern) for n, one in enumerate(place.tiles)), learned, shift,
        carved,
    )  # fmt: skip


def _learned(place: ColourPlace, lab: Lab, pattern: Pattern, key: str) -> tuple[Patch | None, str]:
    """Return the colour moved by what the maker's own tiles teach, and that in words."""
    if place.shift is None:
        return None, ""
    shown = moved(lab, place.shift.lab).tolist()
    words = difference_words(lab, shown)
    return patch(shown, pattern, "as your tiles come out (learned)", f"{key}-learned"), (
        f"{words}, learned from {place.shift.count} of your spots, give or take {place.shift.sd:.0f}"
    )


def _pattern(place: ColourPlace) -> Pattern:
    """Return the pattern of the uppermost glass; the tiles beside a place have the same."""
    return pattern_of(place.jars[-1].kind if place.jars else None)


def _tile(near: NearTile, foretold: ThicknessLook | None, key: str, pattern: Pattern) -> TileView:
    tile = near.tile
    drawn = patch(tile.lab, pattern, "your tile", key, small=True) if tile.lab is not None else None
    against = ""
    if foretold is not None and tile.lab is not None:
        look = foretold.catching if tile.view == VIEWS[0] else foretold.away
        against = difference_words(look.lab, tile.lab)
    itself = ""
    if near.beside is not None:
        itself = f"foretold {near.beside.off:.1f} off" if near.beside.unseen else "a fit stands on it"
    differs = near.words if tile.told else (*near.words, "its thickness was not told")
    match = ""
    if tile.lab is not None and tile.absolute:
        match = match_address(tile.lab, tile.view)
    name = f"{tile.label or tile.number}, spot {tile.spot}"
    return TileView(tile.number, name, tile.words, differs, drawn, against, itself, match)


def eye_rows(places: Sequence[ColourPlace]) -> tuple[tuple[str, ...], tuple[EyeRow, ...]]:
    """Return the heads and the rows of the table of eyes.

    Parameters
    ----------
    places : sequence of ColourPlace
        Of one piece.
    """
    heads = ("most eyes", *(f"{eye_words(eyes)}" for eyes in EYES))
    rows = []
    for n, place in enumerate(places):
        if place.colour is None:
            continue
        lab, pattern = place.colour.nominal.lab, pattern_of(place.jars[-1].kind if place.jars else None)
        found = [_look(place.colour.nominal, pattern, "to most eyes", f"eyes-{n}-most", small=True, chip=False)]
        found += [
            patch(lab, pattern, f"to eyes with {eye_words(eyes)}", f"eyes-{n}-{eyes}",
                  screen=screen_as_seen(lab, eyes), small=True, chip=False)
            for eyes in EYES
        ]  # fmt: skip
        rows.append(EyeRow(place.name, tuple(found)))
    return heads, tuple(rows)

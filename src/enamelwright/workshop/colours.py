"""What the colours of a piece are foretold to be, place by place, and which of the studio's own tiles come nearest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from threading import Lock
from typing import Any, Literal, cast, get_args

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_read import ColourRead
from enamelwright.craft.colour.colour_risk import ColourRisk, fired_of, limit, risks_of
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat, partial_coats, stack_of
from enamelwright.craft.colour.depth_colour import DepthLook, colour_against_depth
from enamelwright.craft.colour.eyes import LookAlike, look_alikes
from enamelwright.craft.colour.fired_colour import FiredColour, fired_colour, nominal_look
from enamelwright.craft.colour.fired_tile import FiredTile, Taking, TileCoat, TileStack
from enamelwright.craft.colour.jar_optics import index_of, of_jar
from enamelwright.craft.colour.look import View, screen_colour
from enamelwright.craft.jar import Jar
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.colour_tiles import Beside, Shift, nearest
from enamelwright.learning.tile_model import off
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import question
from enamelwright.reference.loader import value
from enamelwright.workshop.listing import colours_seen, spots
from enamelwright.workshop.own_colours import OwnColours, own_colours
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tile_colours import tile_name
from enamelwright.workshop.undercoat import Undercoat, undercoat

Lab = tuple[float, float, float]

#: Places of a piece told at the most; a piece with more colours than this is rare.
MOST_PLACES = 24
#: Technique whose glass lies over a carved ground, and depths told of it as shares of the one that is meant.
CARVED, CARVED_DEPTHS = "basse_taille", (0.1, 0.3, 0.5, 0.75, 1.0, 1.5)
#: Own tiles shown beside each.
OWN_TILES = 3
#: One search at a time: each may take some hundred megabytes for a moment.
_SEARCHING = Lock()


@dataclass(frozen=True)
class SeenTile:
    """A spot of a tile of this studio, as it was seen.

    Attributes
    ----------
    number, label, spot : str
        The tile and the spot on it.
    stack : TileStack
        What lies on it.
    words : str
        What somebody said of its colour.
    lab : Lab or None
        What was read from it, in daylight D65 for 2 degrees and without gloss, as everything foretold is.
    told : bool
        Whether its thickness was told; a usual one is taken otherwise.
    read : ColourRead or None
        The reading itself, for its own light.
    absolute : bool
        Whether the reading may be compared with others than those of its own photo.
    """

    number: str
    label: str
    spot: str
    stack: TileStack
    words: str
    lab: Lab | None
    told: bool
    read: ColourRead | None = None
    absolute: bool = True

    @property
    def view(self) -> View:
        """How a stack is to be held to look as it did when it was read."""
        return "catching the light" if self.read is None or self.read.mirrors else "turned away"

    @property
    def name(self) -> str:
        """What it is called: ``TL-01/2``."""
        return tile_name(self.label or self.number, self.spot)


@dataclass(frozen=True)
class NearTile:
    """A tile of this studio beside a place, in what its stack differs, and how well it was foretold itself."""

    tile: SeenTile
    words: tuple[str, ...]
    beside: Beside | None = None


@dataclass(frozen=True)
class ColourPlace:
    """One place of a piece, or several with the same coats.

    Attributes
    ----------
    name : str
        What it is called.
    stack : ColourStack or None
        What light meets; None where light comes through.
    jars : tuple of Jar
        Of its coats, from the metal outward.
    colour : FiredColour or None
        Foretold; None when nothing tells it.
    why : str
        Why not.
    risks : tuple of ColourRisk
        What may turn it.
    tiles : tuple of NearTile
        The studio's own, the nearest first.
    shift : Shift or None
        By how much such stacks come out otherwise, when enough tiles teach it.
    depths : tuple of DepthLook
        Over a carved ground: the colour against the depth of the uppermost glass.
    """

    name: str
    stack: ColourStack | None
    jars: tuple[Jar, ...]
    colour: FiredColour | None
    why: str
    risks: tuple[ColourRisk, ...]
    tiles: tuple[NearTile, ...]
    shift: Shift | None = None
    depths: tuple[DepthLook, ...] = ()


def places(studio: Studio, plan: Plan, known: Bench, fared: OwnColours | None = None) -> tuple[ColourPlace, ...]:
    """Foretell each differently coated place of a piece.

    Parameters
    ----------
    studio : Studio
        Whose tiles are looked at.
    plan : Plan
        The plan.
    known : Bench
        The bench of this moment.
    fared : OwnColours, optional
        How forecasts fared so far; looked up when left out.
    """
    bench = known.with_jars(plan.piece.jars)
    own = seen_tiles(studio, bench)
    fared = fared or own_colours(studio, bench)
    names: dict[str, list[str]] = {}
    stacks: dict[str, ColourStack] = {}
    trouble: list[ColourPlace] = []
    faces: tuple[Literal["front", "back"], ...] = ("front", "back")
    for face in faces:
        cells = sorted({name for coat in plan.piece.coats if coat.face == face for name in coat.cells}) or [""]
        for cell in cells:
            name = f"cell {cell}" if cell else f"the {face}"
            partial = partial_coats(plan.piece, cell, face)
            # the place beside all stencils, then under each of them
            spots = [(name, partial)] + [
                (f"{name} where {bench.jar(plan.piece.coats[one].jar).name} lies", tuple(set(partial) - {one}))
                for one in partial
            ]
            for spot, beside in spots:
                try:
                    stack = stack_of(plan, cell, face, without=beside)
                except EnamelwrightError as error:
                    trouble.append(ColourPlace(spot, None, (), None, str(error), (), ()))
                    continue
                if stack.coats:
                    key = f"{face}: {stack.model_dump_json()}"
                    names.setdefault(key, []).append(spot)
                    stacks[key] = stack
    told = [_place(", ".join(names[key]), stack, bench, own, fared) for key, stack in stacks.items()]
    if plan.piece.technique == CARVED:
        told = [_over_carving(one, bench) for one in told]
    return tuple([*told, *trouble][:MOST_PLACES])


def _place(name: str, stack: ColourStack, bench: Bench, own: Sequence[SeenTile], fared: OwnColours) -> ColourPlace:
    tiles: tuple[NearTile, ...] = ()
    jars = tuple(bench.jar(coat.jar) for coat in stack.coats)
    try:
        risks = risks_of(fired_of(stack, bench))
        tiles = near_tiles(stack, own, bench, fared)
        shift = fared.shift_of(stack.as_tile(), bench)
        return ColourPlace(name, stack, jars, fired_colour(stack, bench), "", risks, tiles, shift)
    except EnamelwrightError as error:
        return ColourPlace(name, stack, jars, None, str(error), (), tiles)


def _over_carving(place: ColourPlace, bench: Bench) -> ColourPlace:
    """Add what the uppermost glass looks like where the ground below it is carved higher or lower."""
    if place.colour is None or place.stack is None:
        return place
    depths = [share * place.stack.coats[-1].thickness for share in CARVED_DEPTHS]
    return replace(place, depths=colour_against_depth(place.stack, bench, depths))


def alike(told: Sequence[ColourPlace]) -> tuple[LookAlike, ...]:
    """Return pairs of places that some eyes hardly tell apart.

    Parameters
    ----------
    told : sequence of ColourPlace
        Of one piece.
    """
    return look_alikes({one.name: one.colour.nominal.lab for one in told if one.colour is not None})


def near_tiles(
    stack: ColourStack, own: Sequence[SeenTile], bench: Bench, fared: OwnColours | None = None
) -> tuple[NearTile, ...]:
    """Return the studio's own tiles that come nearest to a stack, the nearest first.

    Parameters
    ----------
    stack : ColourStack
        What is wanted.
    own : sequence of SeenTile
        All there are.
    bench : Bench
        Jars by name.
    fared : OwnColours, optional
        How forecasts fared on those tiles.
    """
    if not stack.coats:
        return ()
    usable = {one.stack.name: one for one in own if _known(one, bench)}
    # Only stacks are compared, so a tile that was seen but not measured takes part too.
    tiles = cast("Sequence[FiredTile]", [one.stack for one in usable.values()])
    found = nearest(stack.as_tile(), tiles, bench, OWN_TILES)
    beside = fared.beside if fared is not None else {}
    return tuple(
        NearTile(usable[near.tile.name], near.words, beside.get(usable[near.tile.name].name)) for near in found
    )


def _known(tile: SeenTile, bench: Bench) -> bool:
    try:
        return all(bench.jar(coat.jar) is not None for coat in tile.stack.coats)
    except EnamelwrightError:
        return False


def seen_tiles(studio: Studio, known: Bench) -> tuple[SeenTile, ...]:
    """Return every spot of the studio's tiles that somebody looked at and whose jars are told.

    A colour is read cold, so a tile of which one was read has been fired, be it before the record began.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        Jars by name.
    """
    seen = colours_seen(studio)
    found = []
    for row in spots(studio):
        reading = seen.get((row.piece, row.spot)) or seen.get((row.piece, ""))
        laid = _laid(row, known)
        if reading is None or laid is None:
            continue
        stack, told = laid
        read = reading_of(reading, stack.coats[-1].jar, known)
        found.append(
            SeenTile(
                row.number, row.label or "", row.spot, stack, reading.words or "", as_shown(read), told, read,
                reading.read_by != "photo with grey card",
            )
        )  # fmt: skip
    return tuple(found)


def _laid(row: Any, known: Bench) -> tuple[TileStack, bool] | None:
    """Return what lies on a spot, and whether its thickness was told; None when too little is known."""
    coats = [coat for coat in row.coats or [] if isinstance(coat, Mapping) and coat.get("jar")]
    if not coats or not row.metal:
        return None
    depths = [_depth(coat) for coat in coats]
    usual = value("colour/thickness/usual")
    try:
        below = undercoat(row.under or "", known)
    except EnamelwrightError:
        below = Undercoat()  # told in words nobody can follow: the tile is shown with them
    laid = [TileCoat(jar=str(coat["jar"]), thickness=depth or usual) for coat, depth in zip(coats, depths, strict=True)]
    stack = TileStack(
        name=f"{row.number} {row.spot}"[:60], metal=row.metal, foil=below.foil, coats=(*below.coats, *laid),
        taken="unknown",
    )  # fmt: skip
    return stack, None not in depths


def spot_colours(laid: Sequence[Any], seen: Mapping[tuple[int, str], Any], known: Bench) -> dict[int, str]:
    """Return colours for a screen of fired spots: as read, or foretold where nothing of it is invented.

    Parameters
    ----------
    laid : sequence of Row
        Spots, as :func:`enamelwright.workshop.listing.spots` lists them.
    seen : mapping
        As :func:`enamelwright.workshop.listing.colours_seen` gives it.
    known : Bench
        Jars by name.

    Returns
    -------
    dict of int to str
        ``#rrggbb`` by row of the spot.
    """
    found = {}
    for row in laid:
        stack = _laid(row, known)
        reading = seen.get((row.piece, row.spot))
        if stack is None:
            continue
        top = stack[0].coats[-1].jar
        lab = as_shown(reading_of(reading, top, known)) if reading is not None else None
        if lab is not None:
            found[int(row.of)] = screen_colour(lab)[0]
            continue
        if not row.fired:
            continue
        try:
            if not any(of_jar(known.jar(coat.jar)).invented for coat in stack[0].coats):
                found[int(row.of)] = nominal_look(_as_colour(stack[0]), known).hex
        except EnamelwrightError:
            continue  # the colour of the family stands in
    return found


def _as_colour(stack: TileStack) -> ColourStack:
    coats = tuple(StackCoat(jar=coat.jar, thickness=coat.thickness) for coat in stack.coats)
    return ColourStack(metal=stack.metal, foil=stack.foil, coats=coats)


def reading_of(row: Any, top: str, known: Bench) -> ColourRead | None:
    """Return a kept reading as what it is: numbers for a light, an observer and a way of lighting.

    Parameters
    ----------
    row : Row
        Of the readings.
    top : str
        The uppermost jar.
    known : Bench
        Where its glass is looked up.
    """
    if row.lightness is None:
        return None
    more: Mapping[str, Any] = row.spectrum if isinstance(row.spectrum, dict) else {}
    taken = more.get("taken", "unknown")
    try:
        index: float | None = index_of(known.jar(top))
    except EnamelwrightError:
        index = None
    bands = more.get("reflectance")
    return ColourRead(
        (row.lightness, row.a or 0.0, row.b or 0.0), row.light or "", str(row.observer or 2),
        cast("Taking", taken) if taken in get_args(Taking) else "unknown", index, tuple(bands) if bands else None,
    )  # fmt: skip


def as_shown(read: ColourRead | None) -> Lab | None:
    """Return a reading as every page shows it, in daylight without gloss; None where it cannot be carried there."""
    try:
        return None if read is None else read.in_daylight()
    except EnamelwrightError:
        return None  # a light nobody here knows: the tile is shown by its words alone


def _depth(coat: Mapping[str, Any]) -> float | None:
    for key in ("fired_thickness_mm", "thickness_mm"):
        number = coat.get(key)
        if isinstance(number, int | float) and 0 < number < 5:
            return units.to_si(float(number), "mm", "length")
    return None


def match(asked: Mapping[str, Any], known: Bench, fared: OwnColours | None = None) -> Answer[Any]:
    """Ask for stacks that come near a colour; one search at a time.

    Parameters
    ----------
    asked : mapping
        As the question ``match`` takes it.
    known : Bench
        The bench of this moment.
    fared : OwnColours, optional
        What the studio's tiles teach of such stacks; it is counted in.
    """
    learned = [
        {"kind": list(key), "lab": list(shift.lab), "sd": shift.sd, "tiles": shift.count}
        for key, shift in (fared.shifts if fared is not None else {}).items() if shift.learned
    ]  # fmt: skip
    with _SEARCHING:
        return question("match").ask({**asked, "learned": learned}, known)


def fired_like(lab: Lab, own: Sequence[SeenTile], view: View) -> tuple[tuple[SeenTile, float], ...]:
    """Return the studio's own tiles that come near a colour, with how far off each is, the nearest first.

    Parameters
    ----------
    lab : tuple of float
        Aimed at, in daylight.
    own : sequence of SeenTile
        All there are; readings by a grey card are left out, they are no colours by themselves.
    view : str
        How what is aimed at is held; only tiles read like that are compared.
    """
    near = [(one, off(lab, one.lab)) for one in own if one.lab is not None and one.absolute and one.view == view]
    found = [(one, away) for one, away in near if away < limit("match/reached")]
    return tuple(sorted(found, key=lambda pair: pair[1])[:OWN_TILES])

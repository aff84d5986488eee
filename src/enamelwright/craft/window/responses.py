"""How a kiln answers to one load: its classes of load mixed by the heat the load takes up, or worked out beyond."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, lru_cache

from enamelwright.craft.checks.clearance import standing
from enamelwright.craft.checks.wording import across
from enamelwright.craft.heat_capacity import specific_heat
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_bodies import load_class
from enamelwright.craft.kiln_facts import kiln_facts
from enamelwright.craft.kiln_responses import LOADS, mixed, response_for
from enamelwright.craft.layup import Layup
from enamelwright.craft.piece import Support
from enamelwright.craft.window.loaded import LoadedPiece
from enamelwright.craft.window.substances import metal_heat
from enamelwright.errors import OutOfReach
from enamelwright.physics.kiln_response import KilnResponse
from enamelwright.reference import loader

#: What stands for a kiln nobody has told.
UNKNOWN = Kiln(name="kiln not described")
#: A load is told apart in steps of this many joules per kelvin, so that alike loads share a response.
HEAT_STEP = 2.0
#: Grams and square centimetres of the table of loads.
_GRAM = 1e-3  # kilograms


def middle_temperature() -> float:
    """Return the temperature at which heat capacities of a load are compared: half way up [K]."""
    return (loader.value("heat/room") + loader.value("heat/top_temperature")) / 2


@cache
def class_heat(load: str) -> float:
    """Return the heat capacity of a class of load [J/K]; 0 for the door alone."""
    for row in loader.rows("heat/kiln_loads"):
        if row["load"] == load:
            at = middle_temperature()
            steel, ceramic = (float(specific_heat(name, at)) for name in ("stainless", "glass"))
            copper = float(metal_heat("copper")(at))  # type: ignore[arg-type]
            parts = (("steel_g", steel), ("ceramic_g", ceramic), ("copper_g", copper))
            return sum(float(row[name]) * _GRAM * heat for name, heat in parts)
    return 0.0


def load_heat(piece: LoadedPiece, pieces: int = 1) -> float:
    """Return the heat capacity of what goes into the kiln [J/K].

    Parameters
    ----------
    piece : LoadedPiece
        One piece on its support.
    pieces : int
        How many of them go in together, each on a support of its own.
    """
    at = middle_temperature()
    metal, glass = float(metal_heat(piece.metal)(at)), float(specific_heat("glass", at))  # type: ignore[arg-type]
    sheet = piece.area * (piece.density * piece.thickness * metal + (piece.glass_top + piece.glass_bottom) * glass)
    return pieces * (class_heat(piece.support.load) * piece.support.share + sheet)


def response_to(kiln: Kiln, piece: LoadedPiece, set_point: float, pieces: int = 1) -> KilnResponse:
    """Return how a kiln strays from its setting after the door closes on a load.

    Parameters
    ----------
    kiln : Kiln
        As its owner knows it.
    piece : LoadedPiece
        One piece on its support.
    set_point : float
        [K].
    pieces : int
        How many go in together.

    Raises
    ------
    OutOfReach
        When the kiln does not reach the set point.
    """
    heat = round(load_heat(piece, pieces) / HEAT_STEP) * HEAT_STEP
    return response_by_heat(kiln, heat, round(set_point))


@lru_cache(maxsize=256)
def response_by_heat(kiln: Kiln, heat: float, set_point: float) -> KilnResponse:
    """Return the response to a load of some heat capacity, mixed from the two classes it lies between.

    Parameters
    ----------
    kiln : Kiln
        As its owner knows it.
    heat : float
        [J/K]; heavier than the heaviest class it is worked out, as so much more of that class.
    set_point : float
        [K].
    """
    heats = [class_heat(load) for load in LOADS]
    for low in range(len(LOADS) - 1):
        if heat <= heats[low + 1]:
            share = (heat - heats[low]) / (heats[low + 1] - heats[low])
            found = [response_for(kiln, set_point, load) for load in LOADS[low : low + 2]]
            return mixed(found, (1 - share, share))
    heaviest = load_class(LOADS[-1])
    if heaviest is None or heat <= heats[-1]:
        return response_for(kiln, set_point, LOADS[-1])
    more, facts = heat / heats[-1], kiln_facts(kiln)
    # What is stacked hides itself: a load shows no more surface than floor and roof have.
    area = min(heaviest.area * more, max(heaviest.area, 2 * facts.width * facts.depth))
    body = replace(heaviest, area=area, heat=tuple(more * part for part in heaviest.heat))
    return response_for(kiln, set_point, body)


def must_fit(kiln: Kiln, layup: Layup, support: Support, pieces: int = 1) -> None:
    """Refuse a load that is larger than the shelf, so that no time is told for it.

    Parameters
    ----------
    kiln : Kiln
        As its owner knows it; what is not told is that of its class.
    layup : Layup
        One piece.
    support : str
        What each rests on.
    pieces : int
        How many go in together, side by side.

    Raises
    ------
    OutOfReach
        With the room there is and the room they need.
    """
    facts, block = kiln_facts(kiln), standing(layup, support)
    width, depth = kiln.shelf_width or facts.width, kiln.shelf_depth or facts.depth
    many = max(
        int(width // one) * int(depth // other) for one, other in ((block.short, block.long), (block.long, block.short))
    )
    if many >= pieces:
        return
    sure = kiln.preset is not None or kiln.width is not None or kiln.shelf_width is not None
    named = (
        f"the shelf of '{kiln.name}'" if sure else f"the shelf of a usual kiln ('{facts.preset}', none is described)"
    )
    room = f"{across(width)} by {across(depth)}"
    if many == 0:
        raise OutOfReach(
            f"the piece on its support, {across(block.short)} by {across(block.long)}, is larger than {named}, {room}.",
            "Use a larger kiln or a smaller support." if sure else "Describe your kiln: inside width and depth.",
        )
    raise OutOfReach(
        f"{pieces} pieces do not stand side by side on {named}, {room}: at most {many} do.",
        "Fire them in several loads." if sure else "Fire them in several loads, or describe your kiln.",
    )

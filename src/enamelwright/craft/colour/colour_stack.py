"""What light meets in a fired piece: metal or foil, and the coats on it."""

from __future__ import annotations

from collections.abc import Collection
from typing import Annotated, Literal

from pydantic import Field

from enamelwright.craft.coats_laid import covers, thickness_after
from enamelwright.craft.colour.fired_tile import TileCoat, TileStack
from enamelwright.craft.description import Described, Length, Thickness
from enamelwright.craft.jar import Jar
from enamelwright.craft.piece import OPEN_BACKED, Piece
from enamelwright.craft.plan import Plan
from enamelwright.errors import OutOfReach
from enamelwright.reference.loader import value

Surface = Literal["unknown", "polished", "satin", "textured"]
#: A foil that covers less of the face than this is not what one looks at.
MOST_OF_IT = 0.5


class StackCoat(Described):
    """One coat as fired."""

    jar: Annotated[str, Field(min_length=1, max_length=120)]
    thickness: Annotated[Thickness, Field(gt=0, le=0.005)] = Field(description="fired")
    weighed: bool = Field(False, description="whether its powder was weighed")


class ColourStack(Described):
    """A stack of coats over metal, from the metal outward."""

    metal: Annotated[str, Field(min_length=1, max_length=60)] = "copper"
    surface: Surface = Field("unknown", description="how the metal is finished")
    finish: Annotated[float, Field(ge=0, le=1)] | None = Field(
        None, description="0 mirror to 1 satin, from a fit; overrides surface"
    )
    foil: Annotated[str, Field(min_length=1, max_length=60)] | None = Field(
        None, description="metal of a foil below all these coats"
    )
    film: Annotated[Length, Field(gt=0, le=0.0001)] | None = Field(
        None, description="red copper oxide left between metal and glass; its colour is invented"
    )
    coats: Annotated[tuple[StackCoat, ...], Field(max_length=60)] = ()

    def as_tile(self, name: str = "wanted") -> TileStack:
        """Return the same stack as a tile, to be compared with tiles."""
        return TileStack(
            name=name, metal=self.metal, foil=self.foil, taken="unknown",
            coats=tuple(TileCoat(jar=coat.jar, thickness=coat.thickness) for coat in self.coats),
        )  # fmt: skip


def surface_finish(surface: Surface) -> float:
    """Return the finish number of a finish in words, 0 mirror to 1 satin."""
    return value(f"colour/finish/{surface}")


def own_stack(jar: Jar) -> ColourStack:
    """Return a stack that shows what a jar is like by itself: one usual coat over satin silver.

    Parameters
    ----------
    jar : Jar
        As described.
    """
    thickness = value("colour/thickness/usual")
    return ColourStack(
        metal="fine_silver", surface="satin", coats=(StackCoat(jar=jar.id, thickness=thickness, weighed=True),)
    )


def stack_of(
    plan: Plan,
    cell: str = "",
    face: Literal["front", "back"] = "front",
    *,
    through: int | None = None,
    firing: int | None = None,
    without: Collection[int] = (),
) -> ColourStack:
    """Return what light meets in one place of a planned piece.

    Parameters
    ----------
    plan : Plan
        The plan; it says how thick each coat comes out.
    cell : str
        A cell of the front; empty for what covers the whole face.
    face : str
        ``front`` or ``back``.
    through : int, optional
        Number of the last coat counted, as in the file from 0; all of them when left out.
    firing : int, optional
        After which firing; the finished piece when left out.
    without : collection of int
        Numbers of coats that do not lie at this place, such as a stencil beside which one looks.

    Raises
    ------
    OutOfReach
        Where there is no metal behind the glass.
    """
    piece = plan.piece
    if piece.technique in OPEN_BACKED and face == "front":
        raise OutOfReach("light comes through this piece from behind.", "Look at it against a window.")
    foil, below = _foil(piece) if face == "front" else (None, 0)
    coats, place = [], 0
    for weight in sorted(plan.weights, key=lambda w: w.coat):
        if weight.face != face:
            continue
        place += 1
        coat = piece.coats[weight.coat]
        if (through is not None and weight.coat > through) or weight.coat in without or not covers(coat, cell):
            continue
        depth = thickness_after(plan, weight, firing)
        if depth > 0:
            coats.append((place, StackCoat(jar=weight.jar, thickness=depth, weighed=coat.weight is not None)))
    if foil is not None and not any(at > below for at, _ in coats):
        foil = None
    kept = tuple(coat for at, coat in coats if foil is None or at > below)
    return ColourStack(metal=piece.metal.kind, foil=foil, coats=kept)


def partial_coats(piece: Piece, cell: str, face: Literal["front", "back"]) -> tuple[int, ...]:
    """Return the numbers of coats that lie on the lesser part of a place, such as a stencil.

    Parameters
    ----------
    piece : Piece
        As described.
    cell : str
        A cell of the front; empty for the whole face.
    face : str
        ``front`` or ``back``.
    """
    return tuple(
        number for number, coat in enumerate(piece.coats)
        if coat.face == face and covers(coat, cell) and coat.share is not None and coat.share < MOST_OF_IT
    )  # fmt: skip


def _foil(piece: Piece) -> tuple[str | None, int]:
    """Return the uppermost foil that covers most of the face, and how many coats lie below it."""
    found = [foil for foil in piece.foils if foil.share is None or foil.share >= MOST_OF_IT]
    if not found:
        return None, 0
    top = max(found, key=lambda foil: foil.after_coat)
    return top.metal, top.after_coat

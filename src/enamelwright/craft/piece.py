"""A piece as the maker describes it: the one description behind file, form, stored design and schema."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from enamelwright.craft.coat import Coat, Face
from enamelwright.craft.description import Area, Described, Length, Mass, Name, Note, Temperature, Thickness, Time
from enamelwright.craft.jar import Jar
from enamelwright.errors import InputError

#: Most layings of one piece, a coat laid three times counting as three: twice what the longest jobs of the
#: trade need. Time and memory of the stress history grow with its square.
MOST_LAYINGS = 60

Support = Literal["mesh", "trivet", "plate", "mica", "hung", "fork", "torch ring"]
Form = Literal["sheet", "bead", "ring", "casting"]

#: A technique of the trade by its plain id; the table of techniques tells what each asks for.
Technique = Literal[
    "sift_opaque", "transparent_flux", "transparent_direct", "stencil", "sgraffito_dry", "sgraffito_liquid",
    "cloisonne_silver", "cloisonne_copper", "champleve", "basse_taille", "plique_open", "plique_backed",
    "plique_etched", "grisaille", "limoges", "overglaze", "foil", "liquid", "placed_glass", "torch", "steel",
    "high_fire", "both_sides",
]  # fmt: skip

#: Techniques that paint on thin metal; the depth rules of sheet work do not hold for them.
PAINTED: frozenset[str] = frozenset({"limoges", "grisaille", "overglaze"})
#: Techniques with no back face to enamel.
OPEN_BACKED: frozenset[str] = frozenset({"plique_open", "plique_backed", "plique_etched"})
#: Techniques whose glass lies in cells or recesses, so that one thickness does not describe it.
CELLED: frozenset[str] = frozenset(
    {
        "cloisonne_silver",
        "cloisonne_copper",
        "champleve",
        "basse_taille",
        "plique_open",
        "plique_backed",
        "plique_etched",
    }
)


class Solder(Described):
    """A soldered joint that must live through the firings."""

    flow: Temperature
    name: Annotated[str, Field(max_length=60)] = ""
    place: Literal["under enamel", "away from enamel", "unknown"] = "unknown"
    after_enamel: bool = False


class Sheet(Described):
    """The metal of the piece."""

    kind: Annotated[str, Field(min_length=1, max_length=60)]
    thickness: Annotated[Thickness, Field(gt=0.00005, le=0.012)] | None = None
    temper: Literal["annealed", "hard", "unknown"] = "unknown"
    formed: bool = Field(False, description="hammered or domed after the last annealing")
    depletion_cycles: Annotated[int, Field(ge=0, le=40)] | None = None
    solder: tuple[Solder, ...] = ()
    clean: Literal["scoured", "pickled", "burned off", "greasy", "unknown"] = "unknown"


class Hole(Described):
    """A round hole."""

    diameter: Annotated[Length, Field(gt=0.0002, le=0.2)]
    at: tuple[Length, Length] = Field((0.0, 0.0), description="centre from the middle of the piece")


class Circle(Described):
    """A disc."""

    shape: Literal["circle"]
    diameter: Annotated[Length, Field(ge=0.001, le=1)]


class Ellipse(Described):
    """An oval."""

    shape: Literal["ellipse"]
    width: Annotated[Length, Field(ge=0.001, le=1)]
    height: Annotated[Length, Field(ge=0.001, le=1)]


class RoundedRectangle(Described):
    """A rectangle with corner radius; 0 is a sharp corner."""

    shape: Literal["rounded rectangle"]
    width: Annotated[Length, Field(ge=0.001, le=1)]
    height: Annotated[Length, Field(ge=0.001, le=1)]
    corner: Annotated[Length, Field(ge=0)] = 0.0


class Polygon(Described):
    """Straight sides through points."""

    shape: Literal["polygon"]
    points: Annotated[tuple[tuple[Length, Length], ...], Field(min_length=3, max_length=5000)]


class Drawing(Described):
    """An SVG or DXF file beside the piece file."""

    shape: Literal["drawing"]
    file: Annotated[str, Field(min_length=1, max_length=200)]
    width: Annotated[Length, Field(ge=0.001, le=1)] | None = Field(
        None, description="real width, when the file has no units"
    )


class WeighedBlank(Described):
    """A blank known by its weight; area follows from thickness and density."""

    shape: Literal["weighed"]
    mass: Annotated[Mass, Field(gt=0, le=5)]
    across: Annotated[Length, Field(ge=0.001, le=1)] = Field(description="longest measure across")


class SurfaceArea(Described):
    """A form that is not flat sheet, known by the area that takes enamel."""

    shape: Literal["area"]
    area: Annotated[Area, Field(gt=0, le=1)]
    across: Annotated[Length, Field(ge=0.001, le=1)]


Outline = Annotated[
    Circle | Ellipse | RoundedRectangle | Polygon | Drawing | WeighedBlank | SurfaceArea,
    Field(discriminator="shape"),
]


class Cell(Described):
    """A named area of the front: a cell, a recess or an open window."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    area: Annotated[Area, Field(gt=0)] | None = None
    share: Annotated[float, Field(gt=0, le=1)] | None = None
    across: Annotated[Length, Field(gt=0)] | None = Field(None, description="longest measure of the opening")


class Recess(Described):
    """A recess etched, stamped or engraved into the metal."""

    depth: Annotated[Length, Field(gt=0, le=0.01)]
    line: Annotated[Length, Field(gt=0)] | None = Field(None, description="narrowest line of metal left standing")
    made: Literal["etched", "engraved", "stamped", "pierced and soldered", "cast"] = "etched"


class Wires(Described):
    """Wires (cloisons) standing on a face."""

    metal: Annotated[str, Field(min_length=1, max_length=60)]
    height: Annotated[Length, Field(gt=0, le=0.01)]
    thickness: Annotated[Length, Field(gt=0, le=0.005)]
    length: Annotated[Length, Field(gt=0, le=50)] | None = Field(None, description="total length")
    after_coat: Annotated[int, Field(ge=0)] = Field(1, description="stand on this many front coats; 0 is bare metal")
    glass_below: bool | None = Field(None, description="unbroken glass between wire and metal")


class Foil(Described):
    """A foil or leaf laid on fired glass."""

    metal: Annotated[str, Field(min_length=1, max_length=60)]
    thickness: Annotated[Length, Field(gt=0, le=0.0005)] | None = None
    pierced: bool | None = None
    after_coat: Annotated[int, Field(ge=0)] = 1
    share: Annotated[float, Field(gt=0, le=1)] | None = None


class FiringHabits(Described):
    """How this maker fires, where it differs from the plan's own choice."""

    kiln: Annotated[str, Field(max_length=60)] = ""
    set: Annotated[Temperature, Field(gt=673, lt=1473)] | None = None
    seconds: Annotated[Time, Field(gt=0, le=3600)] | None = None
    start: Literal["load", "recovered", "unknown"] = "load"
    support: Support | None = None
    middle_support: bool | None = None
    contact: Literal["rim", "edge slope", "under enamel", "unknown"] = "unknown"
    cooling: Literal["still air", "draught", "cold slab", "in the kiln", "unknown"] = "unknown"
    lift_after: Annotated[Time, Field(ge=0)] | None = Field(None, description="left to cool before lifting")
    both_at_once: bool | None = Field(None, description="fire front and back together")
    pickle: bool | None = Field(None, description="clean oxide in a pickle rather than by abrasion")
    edges_cleaned: bool | None = None
    press_flat: bool = Field(False, description="pressed flat while hot after each one-sided firing")


class Use(Described):
    """What becomes of the piece."""

    worn: bool | None = None
    skin: Literal["back", "front", "both", "none", "unknown"] = "unknown"
    for_sale: bool = False
    child: bool = False
    food: bool = False
    class_evening: bool = False
    set_in: Literal["bezel", "prongs", "frame", "none", "unknown"] = "unknown"
    flange: Annotated[Length, Field(ge=0)] | None = Field(None, description="bare metal left round the enamel")
    lid: bool = False
    clearance: Annotated[float, Field(ge=0, le=1)] | None = Field(None, description="share left for enamel and growth")


class Intended(Described):
    """A warning the maker has read and means to go against."""

    rule: Annotated[str, Field(min_length=1, max_length=40)]
    note: Note = ""


class SoFar(Described):
    """The piece as it is now, when a plan starts in the middle."""

    firings: Annotated[int, Field(ge=0, le=100)] = 0
    bow: Length | None = Field(None, description="bow measured; positive when the front is convex")
    pressed_flat: bool = False
    fault: Annotated[str, Field(max_length=60)] = ""


class Piece(Described):
    """A piece to be planned."""

    format: Literal[1] = 1
    name: Name
    technique: Technique | None = None
    form: Form = "sheet"
    note: Note = ""
    invented: bool = Field(False, description="belongs to a demonstration")
    metal: Sheet
    outline: Outline
    dome: Length = Field(0.0, description="rise in the middle; positive when the front is convex")
    turned_edge: Annotated[Length, Field(ge=0, le=0.05)] = 0.0
    holes: tuple[Hole, ...] = ()
    cells: tuple[Cell, ...] = ()
    recess: Recess | None = None
    wires: tuple[Wires, ...] = ()
    foils: tuple[Foil, ...] = ()
    coats: Annotated[tuple[Coat, ...], Field(max_length=120)] = ()
    jars: Annotated[tuple[Jar, ...], Field(max_length=200)] = ()
    firing: FiringHabits = FiringHabits()
    finish: Literal["gloss", "matt", "as fired"] = "gloss"
    hallmark: bool = False
    findings: tuple[Annotated[str, Field(max_length=60)], ...] = ()
    use: Use = Use()
    so_far: SoFar = SoFar()
    intended: tuple[Intended, ...] = ()
    copies: Annotated[int, Field(ge=1, le=1000)] = 1

    @model_validator(mode="after")
    def _consistent(self) -> Piece:
        ids = [jar.id for jar in self.jars]
        if len(ids) != len(set(ids)):
            raise InputError("two jars in this file share an id.", "Give each its own.")
        layings = sum(coat.times for coat in self.coats)
        if layings > MOST_LAYINGS:
            raise InputError(
                f"{layings} layings are more than one piece can be planned with.",
                f"Lower times, or describe at most {MOST_LAYINGS} layings.",
                "coats",
            )
        names = [cell.name for cell in self.cells]
        if len(names) != len(set(names)):
            raise InputError("two cells share a name.", "Give each its own.")
        if self.form == "sheet" and isinstance(self.outline, SurfaceArea):
            raise InputError("a sheet needs an outline.", "Give one, or say form = 'bead', 'ring' or 'casting'.")
        if self.metal.thickness is None and self.form == "sheet":
            raise InputError("the sheet's thickness is missing.", "Add metal.thickness_mm or a gauge with its system.")
        if self.recess is not None and self.metal.thickness is not None and self.recess.depth >= self.metal.thickness:
            raise InputError("the recess is as deep as the sheet.", "Make it shallower or the sheet thicker.")
        if self.coats and self.coats[0].with_previous:
            raise InputError(
                "the first coat has no coat before it to be fired with.", "Take with_previous out.", "coats[1]"
            )
        front = sum(1 for coat in self.coats if coat.face == "front")
        for what, things in (("wires", self.wires), ("foils", self.foils)):
            for thing in things:
                if thing.after_coat > front:
                    raise InputError(
                        f"{what} stand after front coat {thing.after_coat}, but there are {front}.",
                        "Lower after_coat or add the coat.",
                    )
        return self

    def coats_on(self, face: Face) -> tuple[tuple[int, Coat], ...]:
        """Return (number in the file, coat) of one face, from the metal outward."""
        return tuple((n, coat) for n, coat in enumerate(self.coats) if coat.face == face)

    def means(self, rule: str) -> str | None:
        """Return the maker's note when `rule` is broken on purpose."""
        for mark in self.intended:
            if mark.rule == rule:
                return mark.note or "marked as intended"
        return None

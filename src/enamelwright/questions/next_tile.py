"""Which tiles should be fired next to learn most of a jar's window, load by load?"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Length, Temperature, Time
from enamelwright.craft.window.facts import number
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.learning.next_tile import TEMPERATURE_SCALE, TileTried, good_window
from enamelwright.learning.tile_batch import batch
from enamelwright.learning.tile_ladders import ladders
from enamelwright.learning.tile_map import window_picture
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import fact

#: Undercoats of a ladder when none are told.
UNDERCOATS = ("bare", "flux", "white", "silver foil under flux")
#: What a tile may come out as, in the order it is told.
_CAME = ("short", "good", "burnt", "bad")
#: Times are read off a clock that shows whole seconds [s].
WHOLE_SECOND = 1.0


class TileInput(Described):
    """A load of tiles that was fired; tiles of one load that came out alike are one try."""

    temperature: Annotated[Temperature, Field(gt=673, lt=1473)]
    time: Annotated[Time, Field(gt=0, le=7200)]
    came: Literal["short", "good", "burnt", "bad"]
    first_gloss: Annotated[Time, Field(gt=0, le=7200)] | None = Field(None, description="when gloss was first seen")

    @model_validator(mode="after")
    def _gloss_before_out(self) -> TileInput:
        if self.first_gloss is not None and self.first_gloss > self.time + WHOLE_SECOND:
            raise InputError("gloss was first seen after the tile was out.", "Put right one of the two times.")
        return self


class NextTileInput(Described):
    """What was tried, where the window is expected, and what the shelf holds."""

    centre: Annotated[Temperature, Field(gt=673, lt=1473)] = Field(1063.15, description="setting expected to be right")
    centre_time: Annotated[Time, Field(ge=20, le=7200)] = Field(150.0, description="time expected to be right")
    tried: Annotated[tuple[TileInput, ...], Field(max_length=500)] = ()
    loads_fired: Annotated[int, Field(ge=0, le=10000)] = Field(0, description="loads of such tiles so far")
    loads: Annotated[int, Field(ge=1, le=12)] = Field(3, description="loads to plan")
    shelf: Annotated[int, Field(ge=1, le=24)] = Field(4, description="places on the shelf, the control tile included")
    thicknesses: Annotated[tuple[Annotated[Length, Field(gt=0, le=0.02)], ...], Field(max_length=6)] = Field(
        (), description="powder depths that differ within a load"
    )
    undercoats: Annotated[tuple[Annotated[str, Field(max_length=60)], ...], Field(max_length=6)] = Field(
        (), description="undercoats that differ within a load"
    )
    cooler_longer: Annotated[float, Field(ge=0, le=0.1)] | None = Field(
        None, description="share by which gloss comes later for each kelvin cooler"
    )
    control_tile: bool = Field(True, description="whether the first load carries a control tile")


class PlannedTile(BaseModel):
    """One tile and where it stands."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    place: int
    what: str
    thickness: Figure | None
    undercoat: str


class PlannedLoad(BaseModel):
    """One load."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    temperature: Figure
    time: Figure
    tiles: tuple[PlannedTile, ...]
    why: str


class Cell(BaseModel):
    """One setting of the picture [K], [s]: good, perhaps, bad or not known."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    temperature: float
    time: float
    standing: str


class LadderSpot(BaseModel):
    """One spot of a tile of a ladder."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    thickness: Figure
    undercoat: str


class LadderTile(BaseModel):
    """One tile of a ladder: in which of its loads, where, and what lies on it side by side."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    load: int
    place: int
    temperature: Figure
    time: Figure
    spots: tuple[LadderSpot, ...]
    too_short: bool


class Ladder(BaseModel):
    """A ready design of tiles."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    tiles: str
    teaches: str
    made: tuple[LadderTile, ...]
    firings: int


class NextTileAnswer(BaseModel):
    """The next loads, the window as far as it is known, and ready ladders."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    loads: tuple[PlannedLoad, ...]
    window: tuple[Cell, ...]
    ladders: tuple[Ladder, ...]
    stands_on: str


def answer(asked: NextTileInput, bench: Bench) -> Answer[NextTileAnswer]:
    """Plan the next loads.

    Parameters
    ----------
    asked : NextTileInput
        What was tried and what is wanted.
    bench : Bench
        Not used; the tiles tried come with the question.

    Raises
    ------
    InputError
        When more tiles are wanted than the shelf holds.
    """
    tried = [TileTried(one.temperature, one.time, one.came, one.first_gloss) for one in asked.tried]
    centre = (asked.centre, asked.centre_time)
    longer = number("later_by_kelvin") if asked.cooler_longer is None else asked.cooler_longer
    planned = batch(
        tried, centre, asked.loads, asked.shelf, asked.thicknesses, asked.undercoats,
        loads_fired=asked.loads_fired, control=asked.control_tile, longer=longer,
    )  # fmt: skip
    origin = Origin(kind="assumption", source="what to try next, not what will come out", status="assumption")

    def told(value: float, dimension: str) -> Figure:
        return Figure.exact(value, dimension, origin)

    loads = tuple(
        PlannedLoad(
            temperature=told(one.temperature, "temperature"),
            time=told(one.seconds, "time"),
            tiles=tuple(
                PlannedTile(
                    place=tile.place, what=tile.what, undercoat=tile.undercoat,
                    thickness=told(tile.thickness, "length") if tile.thickness is not None else None,
                )
                for tile in one.tiles
            ),
            why=one.why,
        )
        for one in planned
    )  # fmt: skip
    cells = tuple(
        Cell(temperature=one.temperature, time=one.seconds, standing=one.standing)
        for one in window_picture(tried, centre, longer)
    )
    kinds = [came for came in _CAME if any(one.came == came for one in tried)]
    stands_on = "no tile yet, so on the first guess"
    if tried:
        counts = ", ".join(f"{sum(one.came == came for one in tried)} {came}" for came in kinds)
        stands_on = f"{len(tried)} {'load' if len(tried) == 1 else 'loads'}, by their heat: {counts}"
    thin, hidden = (fact(f"trade/look_{look}").figure().value for look in ("thin", "just_hidden"))
    designs = ladders(
        tried, centre, longer, asked.thicknesses or (thin, hidden), (thin, hidden, 2 * hidden),
        asked.undercoats or UNDERCOATS, asked.undercoats[0] if asked.undercoats else UNDERCOATS[0], asked.shelf,
    )  # fmt: skip
    lessons = []
    against = good_window(tried, centre).against
    if against:
        lessons.append(
            f"{against} {'pair' if against == 1 else 'pairs'} of tiles contradict each other: one burnt, one short "
            "though fired no cooler and no shorter; look whether one is written wrongly"
        )
    if tried and kinds == ["good"]:
        lessons.append("every tile came out good, which teaches little of where the window ends: go past its edges")
    return Answer[NextTileAnswer](
        question="next-tile",
        payload=NextTileAnswer(
            loads=loads,
            window=cells,
            ladders=tuple(
                Ladder(
                    name=design.name,
                    tiles=design.words,
                    teaches=design.teaches,
                    firings=design.firings,
                    made=tuple(
                        LadderTile(
                            load=tile.load,
                            place=tile.place,
                            temperature=told(tile.temperature, "temperature"),
                            time=told(tile.seconds, "time"),
                            too_short=tile.too_short,
                            spots=tuple(
                                LadderSpot(thickness=told(spot.thickness, "length"), undercoat=spot.undercoat)
                                for spot in tile.spots
                            ),
                        )
                        for tile in design.tiles
                    ),
                )
                for design in designs
            ),
            stands_on=stands_on,
        ),
        because=(
            f"it stands on {stands_on}",
            "heat and time belong to the load: tiles of one load are one try of them, and tell of their own difference",
            "places on the shelf are drawn anew for each load, so that a hot corner is not taken for a thickness",
            f"gloss is taken to come {100 * longer:.1f} % later for each kelvin cooler",
            "hotter and longer than a burnt tile, cooler and shorter than a short one, and shorter than a first gloss "
            "that was seen there or hotter, are left out",
            *lessons,
        ),
        assumptions=(
            f"a window of about {TEMPERATURE_SCALE:g} K and two fifths of the time about the setting expected",
            "past the first five loads a setting is drawn from what is known; another draw would give another",
        ),
        cautions=("Infrared glasses and long gloves at the open kiln.",),
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="next-tile",
    words="Which tiles should be fired next to learn most of a jar's window, load by load?",
    input=NextTileInput,
    output=NextTileAnswer,
    answer=answer,
    example={
        "centre_c": 770,
        "centre_time_s": 170,
        "tried": [
            {"temperature_c": 750, "time_s": 150, "came": "short"},
            {"temperature_c": 770, "time_s": 170, "came": "good"},
            {"temperature_c": 800, "time_s": 200, "came": "burnt"},
        ],
        "loads_fired": 3,
        "undercoats": ["flux", "white"],
    },
)

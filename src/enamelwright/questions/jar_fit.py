"""What do fired tiles tell of a jar's colour, how sure is it, is something wrong, and which tile next?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, model_validator

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.fired_tile import FiredTile, TileStack
from enamelwright.craft.colour.jar_optics import of_jar
from enamelwright.craft.colour.metal_coupon import MetalCoupon
from enamelwright.craft.description import Described
from enamelwright.craft.jar import Jar, OpticsFacet
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.learning.jar_optics import JarFit, TileFit, fit_jars
from enamelwright.learning.next_colour_tile import next_tiles
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine

#: Digits of a difference and of a share worth showing.
_DIGITS, _SHARE_DIGITS = 1, 2


class JarFitInput(Described):
    """Jars to fit and the tiles that show them."""

    jars: Annotated[tuple[str, ...], Field(min_length=1, max_length=12)]
    tiles: Annotated[tuple[FiredTile, ...], Field(min_length=1, max_length=60)]
    described: Annotated[tuple[Jar, ...], Field(max_length=60)] = Field((), description="jars the bench does not know")
    wanted: Annotated[tuple[TileStack, ...], Field(max_length=40)] = Field(
        (), description="stacks whose colour matters when a further tile is chosen"
    )

    @model_validator(mode="after")
    def _named_apart(self) -> JarFitInput:
        names = [tile.name for tile in self.tiles]
        again = next((name for name in names if names.count(name) > 1), None)
        if again is not None:
            raise InputError(f"two tiles are called '{again}'.", "Give each its own name.", "tiles")
        return self


class TileBeside(BaseModel):
    """One tile beside the fit, and beside what the other tiles say of it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    seen: tuple[float, float, float]
    fit: tuple[float, float, float]
    off: Figure
    off_when_left_out: Figure
    expected: Figure
    coat: Figure


class FittedJar(BaseModel):
    """One jar: what is to be kept of it, the bands at which it hides, and the tiles that would tell more."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    jar: str
    optics: OpticsFacet
    tiles: tuple[str, ...]
    hides_at_nm: tuple[int, ...]
    next_tiles: tuple[str, ...]


class Warned(BaseModel):
    """Something to know before using the fit."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    level: str
    words: str


class JarFitAnswer(BaseModel):
    """The fit of all jars together."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    level: str
    off: Figure
    jars: tuple[FittedJar, ...]
    finishes: dict[str, Figure]
    coupons: tuple[MetalCoupon, ...]
    tiles: tuple[TileBeside, ...]
    alarms: tuple[Warned, ...]


def answer(asked: JarFitInput, bench: Bench) -> Answer[JarFitAnswer]:
    """Fit the jars.

    Parameters
    ----------
    asked : JarFitInput
        Jars and tiles.
    bench : Bench
        The jars under and over them.

    Raises
    ------
    InputError
        When a jar has no tile, or nothing is known of a jar under it.
    """
    shelf = bench.with_jars(asked.described)
    fit = fit_jars(asked.tiles, shelf, asked.jars)
    payload = JarFitAnswer(
        level=fit.level,
        off=_difference(fit.off, "mean of the tiles"),
        jars=tuple(
            FittedJar(
                jar=name,
                optics=curve.facet(shelf.jar(name)),
                tiles=curve.tiles,
                hides_at_nm=curve.hidden,
                next_tiles=tuple(tile.words() for tile in next_tiles(fit, name, asked.wanted)),
            )
            for name, curve in fit.jars.items()
        ),
        finishes={name: _share(*found) for name, found in fit.finishes.items()},
        coupons=fit.coupons,
        tiles=tuple(_beside(tile) for tile in fit.tiles),
        alarms=tuple(Warned(level=alarm.level, words=alarm.words) for alarm in fit.alarms),
    )
    return Answer[JarFitAnswer](
        question="jar-fit",
        payload=payload,
        because=_because(fit),
        sources=("two fluxes in scattering layers: P. Kubelka, J. Opt. Soc. Am. 38 (1948) 448",),
        assumptions=_assumptions(asked, shelf),
        cautions=(),
        engine=engine(),
        bench=bench.revision,
    )


def _difference(number: float, how: str) -> Figure:
    return Figure.exact(round(number, _DIGITS), "ratio", Origin(kind="computed", source=how, status="CIEDE2000"))


def _share(middle: float, sd: float) -> Figure:
    low, high = max(0.0, middle - 2 * sd), min(1.0, middle + 2 * sd)
    return Figure(
        value=round(middle, _SHARE_DIGITS), low=round(min(low, middle), _SHARE_DIGITS),
        high=round(max(high, middle), _SHARE_DIGITS), dimension="ratio",
        origin=Origin(kind="computed", source="fit of the tiles; 0 mirror, 1 satin"),
    )  # fmt: skip


def _beside(tile: TileFit) -> TileBeside:
    return TileBeside(
        name=tile.name,
        seen=_lab(tile.seen),
        fit=_lab(tile.model),
        off=_difference(tile.off, "tile less fit"),
        off_when_left_out=_difference(tile.left_out, "tile less what the others say"),
        expected=_difference(tile.expected, "by how sure the others are"),
        coat=Figure.exact(
            round(tile.thickness, _SHARE_DIGITS), "ratio",
            Origin(kind="computed", source="fitted thickness of its uppermost coat, told = 1"),
        ),
    )  # fmt: skip


def _lab(lab: tuple[float, float, float]) -> tuple[float, float, float]:
    lightness, a, b = (round(one, _DIGITS) for one in lab)
    return lightness, a, b


def _because(fit: JarFit) -> tuple[str, ...]:
    lines = [f"{len(fit.tiles)} tiles are {fit.off:.1f} off the fit on average"]
    for name, (middle, sd) in fit.finishes.items():
        lines.append(
            f"finish of the metal{f' ({name})' if name else ''}: {middle:.2f} ± {sd:.2f}, 0 mirror and 1 satin"
        )
    lines += [alarm.words for alarm in fit.alarms]
    return tuple(lines)


def _assumptions(asked: JarFitInput, shelf: Bench) -> tuple[str, ...]:
    lines = []
    fitted = {shelf.jar(name).id for name in asked.jars}
    others = {shelf.jar(coat.jar).id for tile in asked.tiles for coat in tile.coats} - fitted
    for name in sorted(others):
        known = of_jar(shelf.jar(name))
        if known.invented:
            lines.append(f"{name} is not fitted: taken as {known.origin}; fit it first or together")
    if any(tile.taken == "unknown" for tile in asked.tiles):
        lines.append("nobody said how some tiles were lit: taken as in a white tent")
    if any(not coat.weighed for tile in asked.tiles for coat in tile.coats):
        lines.append("some coats were not weighed: their thickness is told less surely")
    lines.append(
        "coats are even and free of bubbles; how far such a model misses real enamel only your own tiles can say"
    )
    return tuple(lines)


#: Six tiles of an invented turquoise: undercoat and metal, thickness [mm], L*, a*, b*.
INVENTED_TILES = (
    ("white", "copper", 0.08, (67.3, -15.8, -21.9)), ("white", "copper", 0.25, (47.9, -13.1, -39.0)),
    ("clear", "fine silver", 0.16, (69.7, -18.2, -32.4)), ("clear", "fine silver", 0.35, (55.8, -15.0, -43.8)),
    ("clear", "copper", 0.10, (60.9, -4.1, -3.1)), ("clear", "copper", 0.25, (50.1, -11.3, -17.2)),
)  # fmt: skip


def _example() -> dict[str, object]:
    def jar(code: str, kind: str, family: str) -> dict[str, object]:
        return {"id": code, "name": code, "kind": kind, "synthetic": True, "optics": {"family": family}}

    return {
        "jars": ["turquoise"],
        "described": [
            jar("turquoise", "transparent", "blue"), jar("white", "opaque", "white"), jar("clear", "flux", "clear"),
        ],
        "tiles": [
            {
                "name": f"TL-{n:02d}", "metal": metal, "lab": list(lab), "photo": "one", "taken": "tent",
                "coats": [{"jar": under, "thickness_mm": 0.12}, {"jar": "turquoise", "thickness_mm": depth}],
            }
            for n, (under, metal, depth, lab) in enumerate(INVENTED_TILES, 1)
        ],
    }  # fmt: skip


QUESTION = Question(
    name="jar-fit",
    words="What do my fired tiles tell of a jar's colour, and which tile would tell more?",
    input=JarFitInput,
    output=JarFitAnswer,
    answer=answer,
    example=_example(),
)

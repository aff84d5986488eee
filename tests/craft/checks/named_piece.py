"""Pieces made of the named material set, to compare the whole chain with independently computed values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from physics.named_materials import COPPER, ZERO_C

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.flatness_draws import Model
from enamelwright.craft.checks.flatness_history import history_of
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.jar_glass import JarGlass
from enamelwright.craft.laying import lay_up
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import CoatWeight
from enamelwright.figure import Figure, Normal, Origin

ORIGIN = Origin(kind="assumption", source="named material set")
MM = 1e-3
#: Spread of the named set: free strain 4 %, setting temperature in five groups at -25 .. 25 K.
STRAIN_SD, SET_SD = 0.04, 17.54


def named_glass(like: JarGlass, t12: float = 480.0, expansion: float = 10.5e-6) -> JarGlass:
    """Put the numbers of the named enamel into what is known of a jar."""

    def exact(value: float, dimension: str) -> Figure:
        return Figure.exact(value, dimension, ORIGIN)

    return replace(
        like,
        expansion=exact(expansion, "expansion"),
        young=exact(70e9, "stress"),
        isokom_12=exact(t12 + ZERO_C, "temperature"),
        isokom_6_6=exact(t12 + 170 + ZERO_C, "temperature"),
        factors={
            "expansion": Normal(mean=expansion, sd=STRAIN_SD * expansion),
            "isokom 12": Normal(mean=t12 + ZERO_C, sd=SET_SD),
        },
    )


def layup_of(coats: Sequence[dict[str, Any]], thickness: float = 0.8, diameter: float = 25.0, **more: Any) -> Layup:
    """Look a piece up and give every jar the named enamel; `fired_thickness_mm` says how much."""
    jar = {"id": "E", "name": "named enamel", "kind": "opaque", "starter": "lead_free_transparent_medium"}
    hard = {**jar, "id": "H", "name": "named harder enamel"}
    piece = Piece.from_outside(
        {
            "name": "named piece",
            "metal": {"kind": "copper", "thickness_mm": thickness},
            "outline": {"shape": "circle", "diameter_mm": diameter},
            "jars": [jar, hard],
            "coats": list(coats),
            **more,
        }
    )
    layup = lay_up(piece, Bench())
    soft_glass = named_glass(glass_of(piece.jars[0]))
    hard_glass = named_glass(glass_of(piece.jars[1]), t12=520.0)
    layers = tuple(replace(layer, glass=hard_glass if layer.jar.id == "H" else soft_glass) for layer in layup.layers)
    return replace(layup, layers=layers)


def weights_of(layup: Layup) -> tuple[CoatWeight, ...]:
    """State the fired thickness asked for, exactly."""
    nothing = Figure.exact(0.0, "mass", ORIGIN)
    return tuple(
        CoatWeight(
            coat=layer.number,
            face=layer.coat.face,
            jar=layer.jar.id,
            jar_name=layer.jar.name,
            area=layer.area,
            powder_depth=Figure.exact(layer.coat.fired_thickness or 0.0, "length", ORIGIN),
            fired_thickness=Figure.exact(layer.coat.fired_thickness or 0.0, "length", ORIGIN),
            to_weigh=nothing,
            on_piece=nothing,
            layings=layer.coat.times,
            weighable=False,
            how="stated",
        )
        for layer in layup.layers
    )


def firings_of(layup: Layup, *fires: Sequence[int], needs_flat: bool = False) -> tuple[Firing, ...]:
    """Write out firings that melt these coats in turn."""
    result = []
    for number, fuses in enumerate(fires, 1):
        faces = {layup.layers[n].coat.face for n in fuses}
        loaded = "both" if len(faces) == 2 else next(iter(faces), "none")
        result.append(
            Firing(
                number=number, fuses=tuple(fuses), loaded=loaded, face_up="front", support="trivet",
                rests_on="rim", target="gloss", needs_flat=needs_flat,
            )
        )  # fmt: skip
    return tuple(result)


def model_of(layup: Layup, *fires: Sequence[int]) -> Model:
    """Make the piece ready to solve, on the named copper.

    The expansion of the named enamel is one number for all temperatures, so nothing is added up to its setting.
    """
    history = history_of(layup, weights_of(layup), firings_of(layup, *fires))
    return Model(layup, history, COPPER, Figure.exact(0.0, "expansion", ORIGIN))


def back(thickness: float, **more: Any) -> dict[str, Any]:
    return {"face": "back", "jar": "E", "fired_thickness_mm": thickness, **more}


def front(thickness: float, **more: Any) -> dict[str, Any]:
    return {"face": "front", "jar": "E", "fired_thickness_mm": thickness, **more}

"""Quick answers without a piece: grams, gauge, degrees, fills."""

from __future__ import annotations

from typing import Annotated, Any

import typer


def _ask(name: str, data: dict[str, Any]) -> Any:
    from enamelwright.questions.question import question

    return question(name).ask({key: value for key, value in data.items() if value is not None})


def grams(
    jar: Annotated[str, typer.Option(help="Jar or generic class.")] = "lead_free_opaque_titania_medium",
    diameter: Annotated[str | None, typer.Option(help='Disc, e.g. "25 mm".')] = None,
    area: Annotated[str | None, typer.Option(help='Area, e.g. "4.9 cm2".')] = None,
    powder: Annotated[str | None, typer.Option(help='Powder depth, e.g. "0.5 mm".')] = None,
    fired: Annotated[str | None, typer.Option(help='Glass after firing, e.g. "0.25 mm".')] = None,
    weight: Annotated[str | None, typer.Option(help='Powder you weigh out, e.g. "0.3 g".')] = None,
) -> None:
    """How many grams make the coat I want, or what coat do my grams make?"""
    data = {
        "jar": jar,
        "diameter": diameter,
        "area": area,
        "powder_depth": powder,
        "fired_thickness": fired,
        "weight": weight,
    }
    answer = _ask("grams", data)
    coat = answer.payload
    typer.echo(f"weigh out {coat.to_weigh.shown('g')}")
    typer.echo(f"powder {coat.powder_depth.shown('mm')}, after firing {coat.fired_thickness.shown('mm')}")
    for line in answer.because:
        typer.echo(f"  {line}")


def gauge(thickness: Annotated[str, typer.Argument(help='e.g. "18 gauge (B&S)".')]) -> None:
    """How thick is this gauge?"""
    for line in _ask("gauge", {"thickness": thickness}).because:
        typer.echo(line)


def degrees(temperature: Annotated[str, typer.Argument(help='e.g. "1450 F".')]) -> None:
    """What is this temperature on the other scale?"""
    for line in _ask("degrees", {"temperature": temperature}).because:
        typer.echo(line)


def fills(depth: Annotated[str, typer.Argument(help='Depth of the cell, e.g. "1 mm".')]) -> None:
    """How many fills bring this cell level?"""
    answer = _ask("fills", {"depth": depth})
    typer.echo(f"{answer.payload.fills.shown()} fills; still open {answer.payload.still_open.shown('mm')}")
    for line in answer.because:
        typer.echo(f"  {line}")

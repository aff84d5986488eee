"""What a plan says of colour: risks of the fire that no rule has told already, and colours some eyes mix up.

Quiet by intent: notes only, few of them, and none where the facts are missing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from enamelwright.craft.colour.colour_risk import ColourRisk, Fired, Laid, risks_of
from enamelwright.craft.colour.colour_stack import MOST_OF_IT, ColourStack, StackCoat
from enamelwright.craft.colour.eyes import look_alikes
from enamelwright.craft.colour.fired_colour import nominal_look
from enamelwright.craft.colour.jar_optics import of_jar
from enamelwright.craft.layup import Layer
from enamelwright.craft.metal import Metal, metal
from enamelwright.craft.piece import OPEN_BACKED
from enamelwright.craft.rules.case import Case
from enamelwright.craft.verdict import Advice, Place
from enamelwright.errors import OutOfReach, UnknownName
from enamelwright.reference.loader import sources

#: Most lines of each kind; the page of colours tells the rest.
MOST_RISKS, MOST_PAIRS = 2, 1
#: Risks of what every day's work does, told on the page of colours alone.
EVERY_DAY = frozenset({"RED-FILM", "FLUX-ON-SILVER", "DARK-ON-COPPER", "CADMIUM-HEAT"})
#: Name of the line about colours that some eyes mix up.
ALIKE = "COLOUR-ALIKE"


def colour_advice(case: Case, told: Collection[str] = ()) -> tuple[Advice, ...]:
    """Return the lines of a plan about colour.

    Parameters
    ----------
    case : Case
        The piece laid up, weighed and ordered.
    told : collection of str
        Rules that have spoken already.
    """
    if case.technique in OPEN_BACKED:
        return ()
    found: dict[tuple[str, int], Advice] = {}
    for layers, ground in _places(case):
        for risk in risks_of(_fired(case, layers, ground), told):
            number = layers[risk.coat].number if risk.coat >= 0 else -1
            if risk.risk not in EVERY_DAY:
                found.setdefault((risk.risk, number), _line(risk, number))
    order = sorted(found, key=lambda key: not found[key].words.startswith(_WARNED))
    return tuple(found[key] for key in order[:MOST_RISKS]) + _alike(case)


def of_colour(lines: Iterable[Advice]) -> tuple[Advice, ...]:
    """Return those lines of a plan that are about colour.

    Parameters
    ----------
    lines : iterable of Advice
        All of them.
    """
    return tuple(one for one in lines if one.rule == ALIKE or one.words.startswith((_WARNED, _NOTED)))


#: How the line of a warning begins, so that it stands before notes, and how that of a note does.
_WARNED, _NOTED = "Colour at risk: ", "Colour: "


def _line(risk: ColourRisk, number: int) -> Advice:
    begin = _WARNED if risk.severity == "warn" else _NOTED
    return Advice(
        rule=risk.risk,
        words=f"{begin}{risk.words[0].lower()}{risk.words[1:]} {risk.remedy}",
        because=(risk.because,),
        sources=risk.sources,
        place=Place(face="front", coats=(number,) if number >= 0 else ()),
    )


def _places(case: Case) -> Iterator[tuple[tuple[Layer, ...], Metal]]:
    """Yield the coats of each different place of the front, and the metal or foil below them."""
    front = case.layup.on("front")
    names = {name for layer in front for name in layer.coat.cells} or {""}
    foils = [foil for foil in case.piece.foils if foil.share is None or foil.share >= MOST_OF_IT]
    top = max(foils, key=lambda foil: foil.after_coat, default=None)
    seen: set[tuple[int, ...]] = set()
    for name in sorted(names):
        mine = tuple(layer for layer in front if not layer.coat.cells or name in layer.coat.cells)
        ground = case.metal
        if top is not None and any(layer.place > top.after_coat for layer in mine):
            mine = tuple(layer for layer in mine if layer.place > top.after_coat)
            ground = metal(top.metal)
        key = tuple(layer.number for layer in mine)
        if mine and key not in seen:
            seen.add(key)
            yield mine, ground


def _thickness(case: Case, layer: Layer) -> float:
    weight = case.weight(layer)
    return weight.fired_thickness.value * (1 if layer.coat.fill else weight.layings)


def _fired(case: Case, layers: tuple[Layer, ...], ground: Metal) -> Fired:
    coats = tuple(Laid(one.jar, _thickness(case, one), len(case.hot_firings(one))) for one in layers)
    return Fired(ground, coats, tuple(metal(wires.metal) for wires in case.piece.wires))


def _alike(case: Case) -> tuple[Advice, ...]:
    """Say which colours of the front some eyes mix up."""
    colours: dict[str, tuple[float, float, float]] = {}
    invented = False
    for layers, ground in _places(case):
        bench = case.bench.with_jars(case.piece.jars)
        try:
            # Thicker than the colour of a coat reaches is a ValueError here; its own verdict says what is wrong.
            coats = tuple(StackCoat(jar=one.jar.id, thickness=_thickness(case, one)) for one in layers)
            colours[layers[-1].jar.name] = nominal_look(ColourStack(metal=ground.id, coats=coats), bench).lab
            invented |= any(of_jar(one.jar).invented for one in layers)
        except (OutOfReach, UnknownName, ValueError):
            continue
    because = ("simulated from colours that are invented until your tiles are fitted",) if invented else ()
    return tuple(
        Advice(
            rule=ALIKE,
            words=f"{pair.words} Part them by lightness, or by a line of metal between.",
            because=(f"{pair.apart:.0f} CIEDE2000 apart to most, {pair.close:.0f} to them", *because),
            sources=(sources()["machado2009"].words(),),
            place=Place(face="front"),
        )
        for pair in look_alikes(colours)[:MOST_PAIRS]
    )

"""All stacks of some jars on some metals, coloured: what a match looks through.

The last ones are kept, because one target follows another.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.coat_laid import least_laid
from enamelwright.craft.colour.colour_risk import limit
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat, Surface, surface_finish
from enamelwright.craft.colour.jar_optics import JarOptics, of_jar
from enamelwright.craft.colour.light import seen_under
from enamelwright.craft.colour.look import View, mirrored
from enamelwright.craft.colour.match_rules import StackRules
from enamelwright.craft.colour.metal_optics import base_on
from enamelwright.errors import OutOfReach
from enamelwright.physics.colour.colour_search import Grounds, Leaves, every_stack
from enamelwright.physics.colour.colour_shortlist import MOST_COATS, Stacks
from enamelwright.reference.loader import value

#: Jars times thicknesses looked through at the most: three coats of them are 1.7 million stacks a metal.
MOST_LEAVES = 120
#: Kinds of enamel a stack of sifted coats is made of.
KINDS = frozenset({"opaque", "transparent", "opal", "flux"})
#: Searches that are kept; the largest takes some hundred megabytes.
KEPT = 2


@dataclass(frozen=True, eq=False)
class JarSpace:
    """Every stack the rules allow, with its colour.

    Attributes
    ----------
    stacks : Stacks
        Colours and codes.
    jars : tuple of JarOptics
        One a jar.
    leaf_jar : tuple of int
        Jar of each leaf.
    thickness : tuple of float
        Fired thickness of each leaf [m].
    metals : tuple of str
        In the order of the codes.
    surface : str
        Finish of the metal.
    unknown : tuple of str
        Names of jars left out, because nothing tells their colour.
    """

    stacks: Stacks
    jars: tuple[JarOptics, ...]
    leaf_jar: tuple[int, ...]
    thickness: tuple[float, ...]
    metals: tuple[str, ...]
    surface: Surface
    unknown: tuple[str, ...]

    @cached_property
    def measured(self) -> JarSpace | None:
        """The stacks of fitted jars alone; None where all jars are fitted or none is."""
        sure = [self.jars[which].sure for which in self.leaf_jar]
        if all(sure) or not any(sure):
            return None
        # A place without a coat asks nothing, and stands first among the leaves.
        kept = self.stacks.made_of(np.array([True, *sure]))
        return replace(self, stacks=kept)

    def stack(self, row: int) -> ColourStack:
        """Return one stack as it is laid, each coat weighed out.

        Parameters
        ----------
        row : int
            Of the stacks.
        """
        ground, leaves = self.stacks.parts(row)
        coats = tuple(
            StackCoat(jar=self.jars[self.leaf_jar[leaf]].jar, thickness=self.thickness[leaf], weighed=True)
            for leaf in leaves
        )
        return ColourStack(metal=self.metals[ground], surface=self.surface, coats=coats)


def jars_to_hand(bench: Bench) -> tuple[str, ...]:
    """Return the ids of the jars a match may use: the maker's own with powder left, else those of the bench.

    Parameters
    ----------
    bench : Bench
        The studio.
    """
    generic = {jar.id for jar in Bench.starter().jars}
    fit = [jar for jar in bench.jars if jar.kind in KINDS and jar.stock.grams != 0]
    own = tuple(jar.id for jar in fit if jar.id not in generic)
    return own or tuple(jar.id for jar in fit)


@lru_cache(maxsize=KEPT)
def jar_space(
    bench: Bench,
    jars: tuple[str, ...],
    metals: tuple[str, ...],
    coats: int,
    surface: Surface,
    view: View = "catching the light",
) -> JarSpace:
    """Colour every stack of some jars that the rules of the trade do not stop.

    Two coats of one jar on each other are left to its other thicknesses, and nothing lies below a coat that hides it
    unless the rules ask for it.

    Parameters
    ----------
    bench : Bench
        The studio.
    jars, metals : tuple of str
        Ids.
    coats : int
        Most coats.
    surface : str
        Finish of the metal.
    view : str
        How the pieces are held.

    Raises
    ------
    OutOfReach
        When nothing is left to lay, or there are more jars than can be looked through.
    """
    known, unknown = [], []
    for name in jars:
        try:
            known.append(of_jar(bench.jar(name)))
        except OutOfReach:
            unknown.append(bench.jar(name).name)
    if not known:
        raise OutOfReach("nothing tells the colour of any of these jars.", "Say their colour families, or fit a tile.")
    if len(known) > MOST_LEAVES:
        raise OutOfReach(f"{len(known)} jars are more than can be looked through at once.", "Choose among them.")
    steps = [limit(f"match/{key}") for key in ("middle", "thin", "thick")][: MOST_LEAVES // len(known)]
    # A step thinner than what hides becomes that; the same step twice is one.
    laid = [(n, max(step, least_laid(jar))) for n, jar in enumerate(known) for step in steps]
    leaf_jar, thickness = zip(*dict.fromkeys(laid), strict=True)
    leaves = Leaves.of(
        [known[n].absorption for n in leaf_jar], [known[n].scattering_at_bands for n in leaf_jar], thickness,
        [known[n].index for n in leaf_jar],
    )  # fmt: skip
    grounds = _grounds(bench, metals, [known[n].index for n in leaf_jar])
    judge = StackRules(bench)
    touch = np.array([[judge.may_touch(ground, jar.jar) for jar in known] for ground in metals])
    lie = np.array([[low is not up and judge.may_lie(low.jar, up.jar) for up in known] for low in known])
    over, on_metal = lie[np.ix_(leaf_jar, leaf_jar)], touch[:, leaf_jar]
    # A coat that hides what is below it belongs on the metal, where it may lie there.
    over &= ~(leaves.hiding & on_metal.all(axis=0))
    stacks = every_stack(
        leaves, grounds, seen_under("D65").weights, h=_finish(surface), v=mirrored(view), coats=min(coats, MOST_COATS),
        over=over, on_metal=on_metal,
    )  # fmt: skip
    if not len(stacks):
        raise OutOfReach("the rules of the trade let none of these jars lie on this metal.", "Add a flux or a ground.")
    return JarSpace(stacks, tuple(known), leaf_jar, thickness, metals, surface, tuple(dict.fromkeys(unknown)))


def _finish(surface: Surface) -> float:
    return value("colour/finish/unknown") if surface == "unknown" else surface_finish(surface)


def _grounds(bench: Bench, metals: tuple[str, ...], index: list[float]) -> Grounds:
    found = {(ground, n): base_on(bench, ground, n) for ground in metals for n in set(index)}
    normal, around = (
        np.array([[getattr(found[ground, n], part) for n in index] for ground in metals])
        for part in ("normal", "hemispherical")
    )
    return Grounds(normal, around)

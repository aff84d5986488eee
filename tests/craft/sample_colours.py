"""Stacks and benches for the tests of colour; every curve is invented."""

from __future__ import annotations

from typing import Any

import numpy as np

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat
from enamelwright.craft.colour.jar_optics import archetypes, class_of, of_archetype
from enamelwright.craft.jar import FITTED, Jar, OpticsFacet

KINDS = {"transparent": "transparent", "opal": "opal", "opaque": "opaque"}


def stack(metal: str, *coats: tuple[str, float], weighed: bool = False, **more: Any) -> ColourStack:
    """A stack of coats with their thickness in mm."""
    laid = tuple(StackCoat(jar=jar, thickness=depth * 1e-3, weighed=weighed) for jar, depth in coats)
    return ColourStack(metal=metal, coats=laid, **more)


def fitted_bench(**optics: Any) -> Bench:
    """A bench whose jars have the invented curves as if five tiles had told them."""
    factor = 0.05 * np.eye(FITTED)[::6]
    jars = []
    for key, curve in archetypes().items():
        found = of_archetype(key)
        facet = OpticsFacet(
            absorption=tuple(found.absorption.tolist()), scattering=found.scattering, scattering_power=found.power,
            index=found.index, covariance=tuple(tuple(row) for row in factor.tolist()),
            fitted_from=("T1", "T2", "T3", "T4", "T5"), **optics,
        )  # fmt: skip
        jars.append(Jar(id=key, name=curve.words, kind=KINDS[found.kind], optics=facet))
    assert all(class_of(jar) in KINDS for jar in jars)
    return Bench(jars=tuple(jars))

"""How far amounts are off, by what moves together: hand, jar and each coat on its own."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from craft.checks.named_piece import firings_of

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.flatness import judge_flatness
from enamelwright.craft.checks.flatness_draws import Model
from enamelwright.craft.checks.flatness_history import history_of
from enamelwright.craft.laying import lay_up
from enamelwright.craft.piece import Piece
from enamelwright.craft.weights import weigh
from enamelwright.figure import Normal
from enamelwright.reference import loader

JARS = [
    {"id": name, "name": f"invented {name}", "kind": "opaque", "starter": "lead_free_opaque_titania_medium"}
    for name in "EF"
]


def layup_of(amount: dict[str, Any], jars: str = "EE"):
    faces = zip(("back", "front"), jars, strict=True)
    return lay_up(
        Piece.from_outside(
            {
                "name": "disc",
                "metal": {"kind": "copper", "thickness_mm": 0.8},
                "outline": {"shape": "circle", "diameter_mm": 25},
                "jars": JARS,
                "coats": [{"face": face, "jar": jar, **amount} for face, jar in faces],
            }
        ),
        Bench(),
    )


def model_of(amount: dict[str, Any], jars: str = "EE") -> Model:
    layup = layup_of(amount, jars)
    return Model(layup, history_of(layup, weigh(layup, Bench()), firings_of(layup, [0, 1])))


def width(amount: dict[str, Any]) -> float:
    layup = layup_of(amount)
    bow = judge_flatness(layup, weigh(layup, Bench()), firings_of(layup, [0, 1]), Bench())[0].states[-1].bow
    return bow.high - bow.low


EXACT, EYE, DEPTH, SIFTED = (
    {"fired_thickness_mm": 0.25},
    {"look": "just hidden"},
    {"powder_depth_mm": 0.5},
    {"siftings": 3},
)


def test_by_eye_bows_wider_than_exact():
    """The vaguer the amount, the wider the bow: errors of two faces laid by eye do not cancel."""
    assert width(EYE) > 1.3 * width(EXACT)
    assert width(EYE) > 1.2 * width(DEPTH)
    assert width(SIFTED) > width(EYE)


@pytest.mark.parametrize(
    ("amount", "same"),
    [(EYE, {"hand", "own"}), (SIFTED, {"hand", "own"}), ({}, {"hand", "own"}), (DEPTH, {"hand"}), (EXACT, set()),
     ({"weight_g": 0.4}, {"jar", "own"})],
)  # fmt: skip
def test_what_moves_together(amount, same):
    """Packing belongs to the hand, density to the jar, depth by eye to its coat."""
    for one in model_of(amount).history.laminae:
        parts = {name: getattr(one.amount, name) for name in ("hand", "jar", "own")}
        assert {name for name, part in parts.items() if part > 1e-3} == same


def test_packing_of_the_hand_moves_both_faces_and_density_only_its_jar():
    def shared(model: Model) -> float:
        factor = model.draws(512).factor
        return float(np.corrcoef(factor[:, 0], factor[:, 1])[0, 1])

    # Both coats share packing only: the correlation is its share of the variance.
    model = model_of(EYE)
    part = model.history.laminae[0].amount
    each = loader.value("trade/coat_thickness_sd")
    expected = part.hand**2 / (part.hand**2 + part.own**2 + each**2)
    assert shared(model) == pytest.approx(expected, abs=0.12)
    grams = {"weight_g": 0.4}
    assert shared(model_of(grams)) > shared(model_of(grams, "EF")) + 0.1


def test_the_solver_takes_the_expansion_up_to_the_setting():
    """The row ``glass/set_expansion_add`` is added to the mean over 20-300 °C, with its spread."""
    model = model_of(EXACT)
    lamina = model.history.laminae[0]
    added = loader.fact("glass/set_expansion_add")
    known = lamina.layer.glass.expansion
    assert model.solid(lamina).expansion_glass == pytest.approx(known.value + added.value)
    draws = model.draws(2000).coat_strain[:, 0]
    law = lamina.layer.glass.factors["expansion"]
    assert isinstance(law, Normal)
    both = np.hypot(law.sd, added.figure().sd) / (known.value + added.value)
    assert float(np.std(draws)) == pytest.approx(both, rel=0.08)

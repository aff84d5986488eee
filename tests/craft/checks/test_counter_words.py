"""What is said of counter-enamel agrees with the verdict, names both limits and credits the rim."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from craft.checks.named_piece import back as named_back
from craft.checks.named_piece import front as named_front
from craft.checks.named_piece import layup_of, model_of, named_glass
from craft.ordinary_practice import CLEAR, ORDINARY, WORKSHOP, Stack, build, disc, firings_of, judge

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.counter_band import band_of
from enamelwright.craft.checks.counter_words import Span, Strict, told, too_thick
from enamelwright.craft.checks.flatness_history import history_of
from enamelwright.craft.checks.wording import at_most, side, sided, times
from enamelwright.craft.laying import lay_up
from enamelwright.craft.piece import Piece
from enamelwright.craft.planner import make_plan
from enamelwright.craft.weights import weigh
from enamelwright.figure import Figure, Origin
from enamelwright.files.piece_file import read_piece
from enamelwright.reference import loader

MM = 1e-3
LANTERN = Path(__file__).parents[3] / "examples" / "lantern-pendant.toml"


def glass(face: str, thickness: float) -> dict[str, object]:
    return {"face": face, "jar": CLEAR, "fired_thickness_mm": thickness}


STERLING = Stack(
    "sterling 1.0, .2 a side", "invented", build("sterling", 1.0, disc(25), [glass("back", 0.2), glass("front", 0.2)]),
    [[0], [1]],
)  # fmt: skip


def agrees(flatness, verdicts, planned: float) -> None:
    """A piece called flat or nearly flat has its own counter-coat in the band, or its rim is why not."""
    bow = next(verdict for verdict in verdicts if verdict.rule == "FLAT-BOW")
    band = flatness.counter
    assert not (bow.level == "good" and band.words.startswith("No thickness"))
    if bow.level == "good" and "rim" not in band.words:
        assert band.low <= planned + 0.01 * MM
        assert band.high is None or planned <= band.high + 0.01 * MM


def test_the_lantern_is_told_of_its_own_counter():
    """A thick counter-coat brings it back into the limit that a thin one leaves on the other side."""
    found = read_piece(LANTERN)
    plan = make_plan(found.piece, drawn=found.shape)
    glass = sum(w.fired_thickness.value * w.layings for w in plan.weights if w.face == "back")
    assert glass > 0
    assert next(one for one in plan.verdicts if one.rule == "FLAT-BOW").level == "good"  # else nothing is compared
    assert "rim" not in plan.flatness.counter.words
    agrees(plan.flatness, plan.verdicts, glass)


def test_sterling_is_told_of_its_rim():
    flatness, verdicts, _ = judge(STERLING)
    agrees(flatness, verdicts, 0.2 * MM)
    assert "rim" in flatness.counter.words
    face = next(verdict for verdict in verdicts if verdict.rule == "FLAT-FACE")
    rim = next(verdict for verdict in verdicts if verdict.rule == "FLAT-RIM")
    assert (face.level, rim.level) == ("good", "watch")
    assert "rim" in face.words
    assert "%" not in " ".join(rim.because)
    assert rim.words.startswith("The rim may chip")
    assert not any(sign.isdigit() for sign in rim.words + rim.remedy)


@pytest.mark.parametrize(
    "stack", [stack for stack in ORDINARY if stack.name.startswith(("disc", "gilding", "sterling", "18 ct"))],
    ids=lambda stack: stack.name,
)  # fmt: skip
def test_ordinary_pieces_called_flat_are_in_their_band(stack: Stack):
    flatness, verdicts, _ = judge(stack, draws=64)
    if flatness.counter is not None:
        bare = not any(coat["face"] == "back" for coat in stack.piece["coats"])
        bow = next(verdict for verdict in verdicts if verdict.rule == "FLAT-BOW")
        assert not (bow.level == "good" and flatness.counter.words.startswith("No thickness"))
        assert not (bare and bow.level == "good") or flatness.counter.low == 0 or "rim" in flatness.counter.words


def test_words_say_what_set_the_ends():
    plain = Span(0.1 * MM, 0.4 * MM, 0.2 * MM, 0.0, sure=True, planned=True)
    said = told(plain, None, 0.1 * MM, imagined=False)
    assert (said.low, said.high) == pytest.approx((0.1 * MM, 0.4 * MM))
    assert said.words == "Counter-enamel from 0.1 to 0.4 mm of fired glass keeps it under 0.1 mm of bow."
    cut = Span(0.1 * MM, 0.4 * MM, None, 0.25 * MM, sure=True, planned=True)
    assert told(cut, None, 0.1 * MM, imagined=False).low == pytest.approx(0.25 * MM)
    assert "keeps its rim" in told(cut, None, 0.1 * MM, imagined=False).words
    thin = Span(0.1 * MM, 0.2 * MM, None, 0.25 * MM, sure=True, planned=True)
    assert "chip" in told(thin, None, 0.1 * MM, imagined=False).words
    both = told(plain, Strict(0.1 * MM, None), 0.25 * MM, imagined=False).words
    assert "0.25 mm" in both
    assert "strict limit of 0.1 mm" in both


def test_few_digits():
    assert at_most(0.0047 * MM) == "under 0.01 mm"
    assert at_most(0.25 * MM) == "at most 0.25 mm"
    assert [times(ratio) for ratio in (3.81, 0.384, 12.6, 2.0)] == ["3.8", "0.38", "13", "2"]


@pytest.mark.parametrize("stack", ORDINARY, ids=lambda stack: stack.name)
def test_no_more_than_the_customary_back_is_told(stack: Stack):
    """Back to front up to 1.5 is the custom (table of the trade); nothing invites to overload the back."""
    flatness, _, _ = judge(stack, draws=64)
    band = flatness.counter
    if band is None:
        return
    assert "upward" not in band.words
    assert "upper limit" not in band.words
    if band.low is not None:
        assert band.high is not None
        most = loader.value("trade/back_to_front_high") * judge_front(stack)
        assert band.high <= max(most, band.low) + 1e-9


def judge_front(stack: Stack) -> float:
    """Return the fired glass of the front, from the weights of the piece [m]."""
    piece = Piece.from_outside({"name": "front", **stack.piece, "jars": [*WORKSHOP, *stack.piece.get("jars", [])]})
    layup = lay_up(piece, Bench.starter())
    history = history_of(layup, weigh(layup, Bench.starter()), firings_of(stack.fires, stack.piece["coats"]))
    return history.glass("front")


def test_where_only_an_overload_would_do_another_build_is_told():
    apart = too_thick(0.9 * MM, 0.25 * MM, together=False)
    assert (apart.low, apart.high) == (None, None)
    for other in ("No sensible counter-enamel", "front thinner", "metal thicker", "both faces together"):
        assert other in apart.words
    assert "both faces together" not in too_thick(0.9 * MM, 0.25 * MM, together=True).words


def test_a_counter_that_expands_much_would_have_to_be_overloaded():
    """It presses the sheet less, so only more of it than is customary would balance the front."""
    layup = layup_of([named_back(0.3), named_front(0.3, jar="H")], thickness=0.5)
    weak = replace(layup.layers[0], glass=named_glass(layup.layers[0].glass, expansion=13e-6))
    model = model_of(replace(layup, layers=(weak, *layup.layers[1:])), [0], [1])
    band = band_of(model, model.draws(64), Bench.from_outside({"house": {"bow_limit_mm": 0.05}}))
    assert (band.low, band.high) == (None, None)
    assert band.words.startswith("No sensible counter-enamel")
    assert "fire both faces together" in band.words


def test_a_bow_is_told_with_its_side_in_one_unit():
    bow = Figure(value=0.0002, low=-0.00053, high=0.00107, dimension="length",
                 origin=Origin(kind="assumption", source="made up"))  # fmt: skip
    assert sided(bow) == "0.2 mm front high (0.53 mm back high to 1.07 mm front high)"
    assert side(1e-9) == "flat"

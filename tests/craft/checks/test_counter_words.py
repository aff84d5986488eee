"""What is said of counter-enamel agrees with the verdict, names both limits and credits the rim."""

from __future__ import annotations

from pathlib import Path

import pytest
from craft.ordinary_practice import CLEAR, ORDINARY, Stack, build, disc, judge

from enamelwright.craft.checks.counter_words import Span, Strict, told
from enamelwright.craft.checks.wording import at_most, times
from enamelwright.craft.planner import make_plan
from enamelwright.files.piece_file import read_piece

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
    agrees(plan.flatness, plan.verdicts, glass)


def test_sterling_is_told_of_its_rim():
    flatness, verdicts, _ = judge(STERLING)
    agrees(flatness, verdicts, 0.2 * MM)
    assert "keeps its rim" in flatness.counter.words
    face = next(verdict for verdict in verdicts if verdict.rule == "FLAT-FACE")
    rim = next(verdict for verdict in verdicts if verdict.rule == "FLAT-RIM")
    assert (face.level, rim.level) == ("good", "watch")
    assert "rim" in face.words
    assert "%" not in " ".join(rim.because)


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

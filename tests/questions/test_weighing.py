"""A maker's own weighings replace the defaults."""

from __future__ import annotations

import pytest

from enamelwright.craft.bench import Bench, Hands
from enamelwright.errors import InputError
from enamelwright.questions.question import question


def ask(**data: object):  # type: ignore[no-untyped-def]
    """Ask with the reference disc filled in."""
    return question("weighing").ask({"diameter_mm": 25, "weighed_out_g": 0.38, "gained_g": 0.32, **data}).payload


def test_loss_is_what_was_taken_and_not_gained() -> None:
    loss = ask().sifting_loss
    assert loss.value == pytest.approx(1 - 0.32 / 0.38)
    assert loss.low < loss.value < loss.high


def test_packing_comes_back_from_the_grams_it_makes() -> None:
    # the forward question is the oracle: grams of a known packing give that packing back
    bench = Bench.starter().model_copy(update={"hands": Hands(packing=0.53, sifting_loss=0.1)})
    jar = {"jar": "lead_free_opaque_hard", "diameter_mm": 25}
    made = question("grams").ask({**jar, "powder_depth_mm": 0.6}, bench).payload
    back = question("weighing").ask(
        {
            **jar,
            "weighed_out_g": made.to_weigh.value * 1e3,
            "gained_g": made.on_piece.value * 1e3,
            "powder_depth_mm": 0.6,
        }
    ).payload  # fmt: skip
    assert back.packing.value == pytest.approx(0.53, rel=1e-6)
    assert back.sifting_loss.value == pytest.approx(0.1, rel=1e-6)


def test_a_finer_balance_knows_more() -> None:
    coarse, fine = ask(balance_step_g=0.01).sifting_loss, ask(balance_step_g=0.001).sifting_loss
    assert fine.high - fine.low < 0.2 * (coarse.high - coarse.low)


def test_without_a_depth_the_packing_stays_unknown() -> None:
    assert ask().packing is None
    assert len(ask().bench_lines) == 2


@pytest.mark.parametrize(
    "data",
    [
        {"gained_g": 0.5},
        {"powder_depth_mm": 5.0},
        {"powder_depth_mm": 0.05},
        {"area_cm2": 4.9},
        {"weighed_out_g": -1},
    ],
)
def test_impossible_weighings_are_asked_about(data: dict[str, float]) -> None:
    with pytest.raises(InputError) as caught:
        ask(**data)
    assert "\n" not in str(caught.value)

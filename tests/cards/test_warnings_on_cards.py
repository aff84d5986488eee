"""What a card warns of: a stop stands on the card of every firing it concerns, and no heat is printed that melts metal."""

from __future__ import annotations

import io
import re
import tomllib

import pytest
from pypdf import PdfReader

import sample_plans
from enamelwright.cards import bench, kiln, kiln_cards, press, words
from enamelwright.cards.steps import steps_data
from enamelwright.craft.piece import Piece
from enamelwright.craft.planner import make_plan
from enamelwright.craft.verdict import Place, Verdict

# Sterling begins to melt near 802 degrees Celsius (ASM Handbook vol. 2, silver alloys: solidus 802, liquidus 893).
HOT_STERLING = """
[use]
food = true
child = true
[firing]
set_c = 816
support = "trivet"
"""


def sterling(kind: str = "sterling silver"):
    text = sample_plans.DISC.replace('kind = "copper"', f'kind = "{kind}"') + HOT_STERLING
    return make_plan(Piece.from_outside(tomllib.loads(text)), draws=64)


def text_of(pdf: bytes) -> list[str]:
    pages = PdfReader(io.BytesIO(pdf)).pages
    return [re.sub(r"\s+", " ", page.extract_text().replace("\u200b", "")) for page in pages]


def with_verdicts(*verdicts: Verdict):
    return sample_plans.disc().model_copy(update={"verdicts": verdicts})


def test_metal_that_melts_puts_a_stop_on_every_kiln_card_and_takes_the_degrees_away():
    plan = sterling()
    assert any(v.rule == "ALLOY-STER-R" and v.level == "stop" for v in plan.verdicts)
    for page in text_of(kiln_cards(plan)):
        assert "STOP Sterling begins to melt" in page
        assert "answer the stop first" in page
        assert "°" not in page
        assert "first look" not in page
    # Copper melts at 1085 degrees, so the same setting prints its degrees.
    assert all("816 °C" in page and "STOP" not in page for page in text_of(kiln_cards(sterling("copper"))))


def test_a_warning_stands_on_the_card_of_its_firing_only():
    watch = Verdict(rule="DEMO", level="watch", words="Mind this one.", place=Place(firing=2))
    cards = kiln.kiln_cards_data(with_verdicts(watch))["cards"]
    assert [len(card["warnings"]) for card in cards] == [0, 1, 0]
    assert cards[1]["warnings"][0]["word"] == "Watch"
    assert "°C" in cards[1]["heat"]


def test_a_stop_of_the_whole_plan_stands_where_its_coats_are_hot():
    coats = Verdict(rule="HEAT-BUDGET", level="stop", words="Too many.", place=Place(face="front", coats=(1,)))
    whole = Verdict(rule="ALLOY-ZINC", level="stop", words="It gases.", place=Place(face="metal"))
    other = Verdict(rule="JAR-WEAR", level="stop", words="Not at the kiln.", place=Place(face="front"))
    cards = kiln.kiln_cards_data(with_verdicts(coats, whole, other))["cards"]
    said = [[one["words"] for one in card["warnings"]] for card in cards]
    assert said == [["It gases."], ["Too many.", "It gases."], ["Too many.", "It gases."]]


def test_a_stop_that_is_intended_is_shown_and_forbids_nothing():
    stop = sterling().verdicts
    meant = tuple(v.model_copy(update={"intended": "a melting test"}) for v in stop if v.rule == "ALLOY-STER-R")
    card = kiln.kiln_cards_data(with_verdicts(*meant))["cards"][0]
    assert card["warnings"][0]["word"] == "Stop (intended)"
    assert not card["warnings"][0]["bar"]
    assert "°C" in card["heat"]


def test_a_shared_card_says_which_firing_it_warns_of():
    plan = sample_plans.cloisonne(fills=4)
    watch = Verdict(rule="DEMO", level="watch", words="Mind this one.", place=Place(firing=5))
    cards = kiln.kiln_cards_data(plan.model_copy(update={"verdicts": (watch,)}))["cards"]
    assert cards[2]["warnings"][0]["words"] == "Firing 5: Mind this one."


def test_many_warnings_fit_and_are_counted():
    many = tuple(
        Verdict(
            rule=f"D{n}",
            level="stop",
            words="A sentence of ordinary length about this firing. " * 2,
            place=Place(firing=1),
        )
        for n in range(6)
    )
    data = kiln.kiln_cards_data(with_verdicts(*many))
    assert press.cut_off(kiln.TEMPLATE, data) == 0
    assert data["cards"][0]["warnings"][-1]["words"].startswith("4 more")
    assert data["cards"][0]["warnings"][-1]["bar"]


def test_food_and_child_stand_before_dust():
    for said in bench.bench_card_data(sterling())["caution"]:
        assert said[0].startswith("Food")
        assert said[1].startswith("For a child")
        assert len(said) == 3
        assert all(line.endswith(".") for line in said)


def test_verdicts_end_at_a_sentence():
    long = "It may bow 0.8 mm over 56 mm. " + "A second sentence that goes on for a good while to say more. " * 4
    verdict = Verdict(
        rule="D", level="watch", words=long, remedy="Lay less in front; " + "or more on the back " * 20 + "."
    )
    data = bench.bench_card_data(with_verdicts(verdict))
    for (said,) in data["verdicts"]:
        assert said["words"].endswith(".")
        assert "…" not in said["words"] + said["remedy"]
    assert data["verdicts"][0][0]["remedy"] == "Lay less in front."
    assert data["verdicts"][-1][0]["remedy"] == ""


def test_sentences_keep_decimals_whole():
    assert words.sentences("Keep 0.5 mm. Then 1.5 mm more is laid.", 15) == "Keep 0.5 mm."
    assert words.sentences("One endless thing without an end", 10) == ""


def test_a_ratio_is_no_figure_for_a_maker():
    ratio = Verdict(rule="D", level="good", words="The rim holds.", figure=sample_plans.figure(0.7, 0.3, 1.6, "ratio"))
    bow = ratio.model_copy(update={"figure": sample_plans.figure(8e-5, 2e-5, 1.5e-4, "length")})
    data = bench.bench_card_data(with_verdicts(ratio, bow))["verdicts"][0]
    assert data[0]["words"] == "The rim holds."
    assert "0.08 mm" in data[1]["words"]


@pytest.mark.parametrize("copies", [1, 3])
def test_fills_are_weighed_in_all_and_copies_each(copies):
    plan = sample_plans.cloisonne(fills=5)
    piece = plan.piece.model_copy(update={"copies": copies})
    fill = plan.weights[2].model_copy(update={"to_weigh": sample_plans.about(0.42e-3, "mass"), "weighable": True})
    plan = plan.model_copy(update={"piece": piece, "weights": (*plan.weights[:2], fill, *plan.weights[3:])})
    data = bench.bench_card_data(plan)
    row = next(row for row in data["front"] if "first takes most" in row["how"].replace("\u00a0", " "))
    assert row["weigh"] == ("2.10 g in all" if copies == 1 else "2.10 g each, in all")
    assert data["back"][0]["weigh"] == "0.72 g" + (" each" if copies > 1 else "")


def test_the_steps_are_those_of_the_plan_in_order_with_a_box_for_every_time():
    plan = sterling("copper")
    rows = [row for page in steps_data(plan) for row in page if not row["head"]]
    wanted = [work for work in plan.operations if work.work not in {"cool", "dry"}]
    assert sum(len(row["ticks"]) for row in rows) == len(wanted)
    # Firings alike share rows; where none do, the order is the plan's own.
    firsts = [work.words.split(",")[0].split(";")[0].rstrip(".") for work in wanted]
    if all(len(row["ticks"]) == 1 for row in rows):
        assert all(row["words"].startswith(first) for row, first in zip(rows, firsts, strict=True))

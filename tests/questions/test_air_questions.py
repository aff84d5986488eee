"""Dust, glare, touch, landing spot, room air and sale: how answers move, and that they stay careful."""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.jar import HazardFacet, Jar, StockFacet
from enamelwright.craft.kiln import Kiln
from enamelwright.errors import InputError, OutOfReach
from enamelwright.questions.question import question

NAMES = ("dust", "glare", "touch", "landing", "ventilation", "sell-where")


def ask(name: str, bench: Bench | None = None, **changed: Any) -> Any:
    """Ask the example with something changed; None takes a field out."""
    data = {key: one for key, one in {**question(name).example, **changed}.items() if one is not None}
    return question(name).ask(data, bench)


def red(**hazards: Any) -> Bench:
    """A bench with one jar."""
    jar = Jar(
        id="R1", name="ember red", kind="opaque", mesh=80, hazards=HazardFacet(**hazards), stock=StockFacet(washed=True)
    )
    return Bench(jars=(jar,))


@pytest.mark.parametrize("name", NAMES)
def test_every_answer_says_first_what_it_is(name: str) -> None:
    payload = ask(name).payload
    assert payload.screening is True
    assert " no" in payload.what_it_is
    assert payload.headline


# what is changed, and that the air at the face is cleaner for it
CLEANER = [
    {"washed": True}, {"work": "wet packing"}, {"exhaust": True}, {"cleaner": True}, {"changes_per_h": 6},
    {"mass_g": 10}, {"mesh": 40}, {"room_m3": 200},
]  # fmt: skip


@pytest.mark.parametrize("changed", CLEANER)
def test_what_cleans_the_air_does(changed: dict[str, Any]) -> None:
    assert ask("dust", **changed).payload.against[0].figure.high < ask("dust").payload.against[0].figure.high


def test_wet_stoning_raises_less_than_dry() -> None:
    dry, wet = (ask("dust", work=f"{how} stoning").payload.dust[0].figure.high for how in ("dry", "wet"))
    assert wet < dry / 10


def test_a_shut_room_is_answered_with_care() -> None:
    shut = ask("dust", changes_per_h=0)
    assert shut.payload.against[0].figure.high > ask("dust").payload.against[0].figure.high
    assert any("without any fresh air" in line for line in shut.cautions)
    assert ask("ventilation", changes_per_h=0).payload.clears is None


def test_washing_helps_more_than_room_air() -> None:
    """What helps is worked out, not preached; room air alone changes little at the face."""
    left = {one.words: one.left.value for one in ask("dust").payload.helps}
    assert left["wash the fines out of the powder first"] < 0.2 < 0.8 < left["6 changes of air an hour"]


def test_nothing_reads_low_while_its_bound_lies_over_the_limit() -> None:
    for mass in (0.01, 0.1, 1, 10, 100):
        for line in ask("dust", mass_g=mass).payload.against:
            assert (line.level == "low") <= (line.share.high <= 1 and line.share.value <= 0.1)
            assert "low on this estimate" in line.words or line.level != "low"


def test_a_jar_brings_its_metals_mesh_and_washing() -> None:
    found = ask(
        "dust", red(cadmium="yes", lead="no"), jars=["ember red"], lead_percent=None, cadmium_percent=None, mesh=None
    )
    assert [line.limit.split()[0] for line in found.payload.against].count("Cadmium") == 4
    assert not any(line.limit.startswith("Lead") for line in found.payload.against)
    assert "fines washed out" in found.because[0]


def test_a_jar_nobody_knows_counts_as_holding_both() -> None:
    found = ask("dust", red(), jars=["R1"], lead_percent=None, cadmium_percent=None)
    assert len(found.payload.metals) == 2
    assert any("not known to be without" in line for line in found.assumptions)


def test_children_leave_the_room_whatever_the_figure() -> None:
    found = ask("dust", mass_g=0.01, children=True)
    assert found.payload.level == "stop"
    assert "Children" in found.payload.headline


@pytest.mark.parametrize(("tested", "counts"), [(True, True), (False, False)])
def test_a_tight_mask_counts_only_when_it_was_tested(tested: bool, counts: bool) -> None:
    words = ask("dust", mask="half mask", fit_tested=tested).payload.mask
    assert ("factor of 10;" in words) is counts
    assert ("counted for nothing" in words) is not counts


def test_a_sample_of_the_air_replaces_the_estimate() -> None:
    found = ask("dust", measured_ug_per_m3=20).payload.against[0]
    assert found.figure.value == pytest.approx(20e-9 * 0.02 / 2)
    assert found.figure.origin.kind == "measured"


def test_glare_falls_with_distance_and_grows_with_heat_and_size() -> None:
    first = ask("glare").payload
    assert ask("glare", distance_mm=800).payload.irradiance.value < first.irradiance.value / 3
    assert ask("glare", temperature_c=850).payload.irradiance.value > first.irradiance.value
    assert ask("glare", width_mm=250).payload.irradiance.value > first.irradiance.value
    assert ask("glare", looks=100).payload.level == "stop"


def test_many_looks_over_a_day_are_fewer_than_the_same_at_once() -> None:
    at_once, spread = (ask("glare", looks=25, session_h=hours).payload.share.high for hours in (0.25, 8))
    assert spread < at_once / 10


def test_a_kiln_of_the_bench_tells_its_door() -> None:
    bench = Bench(kilns=(Kiln(name="blue kiln", width=0.3, depth=0.2, height=0.2, door_height=0.12),))
    own = ask("glare", bench, kiln="blue kiln", width_mm=None, height_mm=None).payload.irradiance.value
    assert own == pytest.approx(ask("glare", width_mm=300, height_mm=120).payload.irradiance.value)
    with pytest.raises(InputError, match="larger than the inside"):
        ask("glare", bench, kiln="blue kiln", width_mm=500)


@pytest.mark.parametrize(
    ("name", "changed", "error"),
    [
        ("glare", {"temperature_c": 100}, OutOfReach),
        ("glare", {"temperature_c": 1700}, InputError),
        ("glare", {"temperature_c": 5000}, InputError),
        ("glare", {"distance_mm": 10}, InputError),
        ("glare", {"looks": 0}, InputError),
        ("glare", {"looks": 100, "look_s": 60, "session_min": 10}, InputError),
        ("touch", {"temperature_c": 2000}, InputError),
        ("touch", {"seconds_s": 0}, InputError),
        ("landing", {"firings": 0}, InputError),
        ("landing", {"out_c": 10}, InputError),
        ("landing", {"room_c": 90}, InputError),
        ("landing", {"layers": [{"material": "board", "thickness_mm": 0}]}, InputError),
        ("landing", {"layers": [{"material": "straw", "thickness_mm": 10}]}, InputError),
        ("landing", {"layers": [{"material": "board", "thickness_mm": 5}] * 9}, InputError),
        ("dust", {"mass_g": -1}, InputError),
        ("dust", {"time_min": 0}, InputError),
        ("dust", {"changes_per_h": -1}, InputError),
        ("dust", {"jars": ["no such jar"]}, InputError),
        ("ventilation", {"room_m3": 0}, InputError),
        ("sell-where", {"market": "the moon"}, InputError),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(name: str, changed: dict[str, Any], error: type[Exception]) -> None:
    with pytest.raises(error) as caught:
        ask(name, **changed)
    assert "\n" not in str(caught.value)


def test_longer_touches_need_cooler_things_and_metal_the_coolest() -> None:
    limits = {
        (material, seconds): ask("touch", material=material, seconds_s=seconds).payload.limit.value
        for material in ("copper", "glass", "wood")
        for seconds in (1, 60, 600, 28800)
    }
    for material in ("copper", "glass", "wood"):
        falling = [limits[material, seconds] for seconds in (1, 60, 600, 28800)]
        assert falling == sorted(falling, reverse=True)
    assert limits["copper", 1] < limits["glass", 1]


def test_the_longest_touch_agrees_with_its_limit() -> None:
    longest = ask("touch", temperature_c=55).payload.longest.value
    assert ask("touch", seconds_s=longest).payload.limit.value >= 55 + 273.15
    assert ask("touch", temperature_c=300).payload.longest.value == 0


def test_no_glove_is_named_for_holding_a_glowing_piece() -> None:
    assert "tongs" in ask("touch", temperature_c=790).payload.glove
    assert "level 2" in ask("touch", temperature_c=200).payload.glove


# what is changed, and that the wood stays cooler for it
COOLER = [
    {"firings": 5}, {"interval_min": 8}, {"side_mm": 400}, {"load": "fork"}, {"stays_min": 1}, {"out_c": 700},
    {"layers": [{"material": "iron", "thickness_mm": 8}, {"material": "board", "thickness_mm": 12}]},
    {"layers": [{"material": "iron", "thickness_mm": 4}, {"material": "board", "thickness_mm": 24}]},
]  # fmt: skip


@pytest.mark.parametrize("changed", COOLER)
def test_what_spares_the_wood_does(changed: dict[str, Any]) -> None:
    assert ask("landing", **changed).payload.held.value < ask("landing").payload.held.value


def test_bare_metal_is_judged_by_its_hottest_moment() -> None:
    found = ask("landing", layers=[{"material": "iron", "thickness_mm": 4}])
    assert found.payload.level == "stop"
    assert any("hottest moment" in line for line in found.because)


def test_changes_of_a_spot_are_sorted_and_come_true() -> None:
    found = ask("landing", firings=40).payload
    cooler = [one.cooler.value for one in found.changes]
    assert cooler == sorted(cooler, reverse=True)
    fibre = next(one for one in found.changes if "ceramic-fibre" in one.words)
    layers = [*question("landing").example["layers"], {"material": "fibre", "thickness_mm": 10}]
    then = ask("landing", firings=40, layers=layers).payload
    assert found.held.value - then.held.value == pytest.approx(fibre.cooler.value, abs=0.5)


def test_halving_the_step_does_not_move_the_wood() -> None:
    from enamelwright.craft.health.landing_spot import STACKS, StackLayer, spotted, usual_spot

    for stack in STACKS:
        spot = usual_spot([StackLayer(material=name, thickness=thick) for name, thick in stack])
        assert spotted(spot, 1.0).peak.value == pytest.approx(spotted(spot).peak.value, abs=0.1)


def test_an_unknown_lining_counts_as_the_worse_kind() -> None:
    assert "carcinogen" in ask("ventilation").payload.lining
    assert "carcinogen" not in ask("ventilation", lining="brick").payload.lining


@pytest.mark.parametrize("market", ["EU", "Great Britain", "US federal", "US California", "elsewhere"])
@pytest.mark.parametrize("use", ["jewellery", "child", "mouth", "food", "decorative"])
def test_every_market_and_use_has_a_next_step_and_no_verdict(market: str, use: str) -> None:
    found = ask("sell-where", market=market, use=use, lead="unknown", cadmium="no").payload
    assert found.rules
    for rule in found.rules:
        assert rule.next
        assert rule.status
    told = " ".join([found.headline, *(f"{rule.next} {rule.on_enamel}" for rule in found.rules)]).casefold()
    assert not {"legal", "illegal", "allowed", "permitted to sell"} & set(told.split())


def test_food_and_children_begin_without_lead_and_cadmium() -> None:
    for use in ("food", "child", "mouth"):
        assert "not with these enamels" in ask("sell-where", use=use, lead="yes").payload.headline
        assert "laboratory report" in ask("sell-where", use=use, lead="no").payload.headline


def test_the_best_outcome_is_low_and_never_good() -> None:
    for name in ("dust", "glare", "touch", "landing"):
        assert ask(name).payload.level in {"low", "watch", "stop"}
    assert ask("glare", distance_mm=2000).payload.level == "low"
    assert ask("landing", firings=1).payload.level == "low"


@pytest.mark.parametrize("market", ["EU", "Great Britain", "US federal", "US California", "elsewhere"])
@pytest.mark.parametrize("use", ["jewellery", "child", "mouth", "food", "decorative"])
def test_no_text_is_listed_twice(market: str, use: str) -> None:
    rules = ask("sell-where", market=market, use=use).payload.rules
    told = [(one.market, one.metal, one.rule, one.number) for one in rules]
    assert len(told) == len(set(told))


@pytest.mark.parametrize("market", ["EU", "Great Britain"])
def test_decorative_ware_has_a_text_of_its_own(market: str) -> None:
    rules = ask("sell-where", market=market, use="decorative").payload.rules
    assert all(one.market == market for one in rules)
    assert not any("jewellery" in one.rule for one in rules)


def test_numbers_of_texts_are_those_of_the_table_of_limits() -> None:
    """Linked, so that a limit that is corrected is corrected everywhere."""
    from enamelwright.craft.health.limits import limit

    rules = ask("sell-where", market="EU", use="jewellery").payload.rules
    assert any(limit("reach63_pb_jewellery").shown() in one.number for one in rules)
    assert not any("{" in one.number + one.on_enamel for one in rules)


def test_no_filter_is_asked_to_let_everything_through() -> None:
    assert "100%" not in ask("glare", distance_mm=5000).payload.filter

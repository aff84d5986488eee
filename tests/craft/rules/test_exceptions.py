"""Where the rules hold their tongue on purpose, and where they speak louder or softer."""

from __future__ import annotations

import itertools
import tomllib

import pytest
from rule_pieces import coat, jar, levels, piece, plan_of
from rule_table import BACK, BLUE, CLOISONNE, FLUX, FRONT, HARD, PLAIN, TOP, TWO, WHITE

from enamelwright.craft.bench import Bench, HouseRules
from enamelwright.craft.piece import CELLED, OPEN_BACKED, PAINTED, Piece
from enamelwright.craft.rules import rules
from enamelwright.craft.rules.book import predicates
from enamelwright.errors import InputError

HEAVY = piece(
    WHITE, BLUE, coat("back", "white", "powder_depth_mm = 1.4"), coat("front", "white", "powder_depth_mm = 1.2"), TOP
)
STARTER = [jar.id for jar in Bench.starter().jars]


@pytest.mark.parametrize("technique", sorted(PAINTED | CELLED - OPEN_BACKED))
def test_depth_and_half_rules_are_for_even_sheet_work_only(technique: str) -> None:
    """Painted plates: Glass on Metal 11(1) 1992. Cells and recesses: common practice, no source."""
    text = HEAVY.replace('technique = "sift_opaque"', f'technique = "{technique}"')
    assert levels(plan_of(HEAVY), "DEPTH-HIGH") == {"watch"}
    assert "watch" in levels(plan_of(HEAVY), "GLASS-HALF")
    for rule in ("DEPTH-LOW", "DEPTH-HIGH", "GLASS-HALF"):
        assert not levels(plan_of(text), rule)


def test_depth_rules_are_for_the_first_coat_on_bare_metal() -> None:
    assert not levels(plan_of(TWO.replace("powder_depth_mm = 0.4", "powder_depth_mm = 0.1")), "DEPTH-LOW")
    assert not levels(plan_of(TWO.replace("powder_depth_mm = 0.4", "powder_depth_mm = 1.3")), "DEPTH-HIGH")


def test_a_coat_a_little_short_is_within_the_hand() -> None:
    """A sifted coat wanders 15 per cent about its plan (assumption of the table)."""
    assert not levels(plan_of(PLAIN.replace("powder_depth_mm = 0.6", "powder_depth_mm = 0.42")), "DEPTH-LOW")


@pytest.mark.parametrize("look", ["thin", "just hidden", "heavy"])
def test_an_amount_by_eye_is_not_held_against_the_depth_rules(look: str) -> None:
    text = PLAIN.replace("powder_depth_mm = 0.6", f'look = "{look}"')
    assert not levels(plan_of(text), "DEPTH-LOW") | levels(plan_of(text), "DEPTH-HIGH")


def test_choosing_high_fire_means_the_breakthrough() -> None:
    """Soft under hard at 930-950 C on purpose: Guild of Enamellers journal 2012 (769)."""
    text = piece(HARD, WHITE, BACK, FRONT, coat("front", "hard", "powder_depth_mm = 0.4\nset_c = 940"))
    meant = text.replace('technique = "sift_opaque"', 'technique = "high_fire"')
    for rule, level in (("ORD-HARD", "stop"), ("HIGH-FIRE", "watch")):
        assert levels(plan_of(text), rule) == {level}
        assert levels(plan_of(meant), rule) == {"meant"}


def test_deliberate_eutectic_work_can_be_meant() -> None:
    """Eutectic enamelling is practised: Guild of Enamellers journal 2017 (853)."""
    bare = CLOISONNE.replace("glass_below = true", "glass_below = false")
    marked = bare + '\n[[intended]]\nrule = "CON-AGCU"\nnote = "eutectic on purpose"\n'
    assert levels(plan_of(bare), "CON-AGCU") == {"stop"}
    assert levels(plan_of(marked), "CON-AGCU") == {"meant"}


def test_copper_wire_on_silver_is_the_same_contact() -> None:
    text = CLOISONNE.replace("glass_below = true", "glass_below = false")
    swapped = text.replace('metal = "fine silver"', 'metal = "copper"').replace(
        'kind = "copper"', 'kind = "fine silver"'
    )
    assert levels(plan_of(swapped), "CON-AGCU") == {"stop"}
    same = text.replace('metal = "fine silver"', 'metal = "copper"')
    assert not levels(plan_of(same), "CON-AGCU")


def test_a_gap_in_the_flux_lets_the_foil_touch() -> None:
    foil = '\n[[foils]]\nmetal = "fine silver"\npierced = true\nafter_coat = 1\n'
    covered = piece(WHITE, FLUX, foil, BACK, coat("front", "flux", "powder_depth_mm = 0.3"), FRONT, technique="foil")
    gappy = covered.replace("powder_depth_mm = 0.3", "powder_depth_mm = 0.3\nshare = 0.4")
    assert not levels(plan_of(covered), "CON-AGCU")
    assert levels(plan_of(gappy), "CON-AGCU") == {"stop"}


def test_jars_known_by_class_only_are_never_stopped_on_their_order() -> None:
    """Class bands are wide: only classes whose bands lie apart are watched, and never both ways round."""
    watched = set()
    for one, other in itertools.permutations(STARTER, 2):
        text = piece(coat("back", one, ""), coat("front", one, ""), coat("front", other, ""))
        for rule in ("ORD-HARD", "ORD-EXP"):
            found = levels(plan_of(text), rule)
            assert found <= {"watch"}
            if found:
                watched.add((rule, one, other))
    assert not {(rule, other, one) for rule, one, other in watched} & watched


def test_the_same_jar_twice_has_no_order() -> None:
    unknown = jar("x", lead="unknown")
    text = piece(unknown, coat("back", "x"), coat("front", "x"), coat("front", "x", "powder_depth_mm = 0.3"))
    assert not [v for v in plan_of(text).verdicts if v.rule.startswith("ORD")]
    assert not levels(plan_of(text), "ORD-LEAD-UNK")


def test_coats_in_different_cells_do_not_lie_over_each_other() -> None:
    cells = "".join(f'\n[[cells]]\nname = "{name}"\nshare = 0.4\n' for name in ("a", "b"))
    leaded, free = jar("leaded", lead="yes"), jar("free")
    fills = coat("front", "leaded", 'fill = "to level"\ncells = ["a"]') + coat(
        "front", "free", 'fill = "to level"\ncells = ["b"]'
    )
    recess = "\n[recess]\ndepth_mm = 0.5\n"
    apart = piece(leaded, free, cells, recess, fills, thickness=2.0, technique="champleve")
    assert not levels(plan_of(apart), "ORD-LEAD")


def test_not_knowing_is_asked_once_and_never_stopped() -> None:
    unknown = jar("x", lead="unknown", cadmium="unknown", acid="unknown")
    habits = '\n[firing]\npickle = true\n\n[use]\nworn = true\nskin = "back"\nfood = true\n'
    text = piece(
        unknown,
        jar("y", lead="unknown"),
        coat("back", "x"),
        coat("front", "x"),
        coat("front", "y", "powder_depth_mm = 0.3"),
        habits,
    )
    plan = plan_of(text)
    for rule in ("ORD-LEAD-UNK", "JAR-WEAR"):
        assert levels(plan, rule) == {"note"}, rule
        assert sum(line.rule == rule for line in plan.advice) == 1
    for rule in ("FOOD", "PICKLE-ACID"):
        assert levels(plan, rule) == {"watch"}, rule
        assert sum(verdict.rule == rule for verdict in plan.verdicts) == 1


def test_a_house_rule_moves_the_limit() -> None:
    gum = piece(WHITE, BACK, coat("front", "white", "powder_depth_mm = 0.6\nhold = { kind = 'gum', ratio = 1.0 }"))
    house = Bench.starter().model_copy(update={"house": HouseRules(gum_ratio=1.0)})
    assert levels(plan_of(gum), "GUM") == {"note"}
    assert not levels(plan_of(gum, house), "GUM")


BAD_ENTRY = {
    "EXP-KIND": ("value_e7_per_k = 105", "value_e7_per_k = 300"),
    "GAUGE": ("thickness_mm = 0.9", 'thickness = "20 gauge"'),
}


@pytest.mark.parametrize("rule", BAD_ENTRY)
def test_rules_of_entry_refuse_the_file(rule: str) -> None:
    old, new = BAD_ENTRY[rule]
    assert PLAIN.count(old) == 1
    with pytest.raises(InputError) as refused:
        plan_of(PLAIN.replace(old, new))
    assert refused.value.remedy


def test_rules_are_not_pretended_where_only_a_record_can_tell() -> None:
    assert {name for name, row in rules().items() if row.needs == "entry"} == set(BAD_ENTRY)
    assert not {name for name, row in rules().items() if row.needs in {"record", "entry"}} & set(predicates())


def test_every_file_here_is_a_whole_piece_file() -> None:
    assert Piece.from_outside(tomllib.loads(HEAVY)).coats


def test_an_expansion_of_unknown_kind_is_asked_about_and_not_compared() -> None:
    """Whatever the number, it does not move the order rule until its kind is known."""
    text = piece(WHITE, BLUE, BACK, FRONT, TOP)
    apart = text.replace("value_e7_per_k = 105", "value_e7_per_k = 118").replace(
        "value_e7_per_k = 118", "value_e7_per_k = 105", 1
    )
    assert levels(plan_of(apart), "ORD-EXP") == {"stop"}
    unknown = apart.replace('kind = "linear"', 'kind = "unknown"')
    assert not levels(plan_of(unknown), "ORD-EXP")
    assert levels(plan_of(unknown), "EXP-UNK") == {"note"}

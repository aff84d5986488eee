"""Each rule speaks in one piece file and keeps quiet in another that differs in one fact."""

from __future__ import annotations

import pytest
from rule_pieces import Pair, levels, plan_of
from rule_table import PAIRS, PLAIN

from enamelwright.craft.rules import live, rules
from enamelwright.craft.rules.book import predicates
from enamelwright.reference import loader

IDS = [f"{pair.rule}-{pair.level}-{number}" for number, pair in enumerate(PAIRS)]


@pytest.mark.parametrize("pair", PAIRS, ids=IDS)
def test_rule_speaks(pair: Pair) -> None:
    assert pair.level in levels(plan_of(pair.loud), pair.rule)


@pytest.mark.parametrize("pair", PAIRS, ids=IDS)
def test_rule_keeps_quiet(pair: Pair) -> None:
    assert not levels(plan_of(pair.quiet), pair.rule)


def test_every_live_rule_has_both_tests() -> None:
    tested = {pair.rule for pair in PAIRS}
    from_the_plan = {name for name, row in rules().items() if row.needs in {"plan", "sequence"}}
    assert from_the_plan == tested


def test_every_live_rule_has_a_predicate_in_its_own_family() -> None:
    found = predicates()
    assert set(found) == set(live())
    assert all(rules()[name].family == how.__module__.rpartition(".")[2] for name, how in found.items())


def test_every_rule_names_its_source_and_every_verdict_its_remedy() -> None:
    known = loader.sources()
    for row in loader.rows("trade/rules"):
        assert loader.source_keys(row["source"])
        assert set(loader.source_keys(row["source"])) <= set(known)
        assert row["status"] in loader.STATUSES
        assert row["severity"] == "note" or row["remedy"], row["rule_id"]


def test_an_ordinary_disc_trips_no_rule() -> None:
    plan = plan_of(PLAIN)
    assert not [verdict for verdict in plan.verdicts if verdict.rule in rules()]


@pytest.mark.parametrize("pair", [pair for pair in PAIRS if pair.level != "note"], ids=lambda pair: pair.rule)
def test_only_what_may_be_meant_can_be_marked(pair: Pair) -> None:
    """A marked rule stays visible; one that nobody may override keeps its level."""
    marked = pair.loud + f'\n[[intended]]\nrule = "{pair.rule}"\nnote = "on purpose"\n'
    verdicts = [verdict for verdict in plan_of(marked).verdicts if verdict.rule == pair.rule]
    assert verdicts
    assert all(bool(verdict.intended) == rules()[pair.rule].may_intend for verdict in verdicts)

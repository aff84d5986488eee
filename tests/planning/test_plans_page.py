"""The page of plans is that of the kept run, and the run kept what is promised."""

from __future__ import annotations

import plans_page


def test_the_page_is_fresh() -> None:
    assert plans_page.PAGE.read_text(encoding="utf-8") == plans_page.page(), plans_page.AGAIN


def test_every_kept_plan_lies_between_the_bound_and_the_rules() -> None:
    kept = plans_page.read(plans_page.KEPT)
    for row in kept["days"]:
        found = row["found"]
        assert row["faults"] == 0
        assert row["no_worse"]
        rule = plans_page.best_rule(row)
        assert row["bound"] <= found["hours"]
        assert (found["late"], found["hours"]) <= (rule["late"], rule["hours"])
        assert found["late"] == 0, "none need be late in these days"
        assert row["promised"] is None or found["gap"] <= row["promised"]
    for row in kept["published"]:
        assert row["ours"][0] >= row["optimum"]
    if kept["published"]:
        assert sum(row["ours"][0] == row["optimum"] for row in kept["published"]) >= 20

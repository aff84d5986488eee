"""For every technique, three edited files change the plan in the stated way."""

import pytest
from craft.sequence_cases import CUSTOM, EDITS, Edit, edited


@pytest.mark.parametrize("edit", EDITS, ids=lambda edit: f"{edit.example}: {edit.what}")
def test_one_changed_fact_changes_the_plan_as_stated(edit: Edit):
    before, after = edited(edit)
    assert after.count - before.count == edit.more, edit.says
    assert edit.shows(before, after), edit.says


def test_every_technique_has_three_edits():
    for row in CUSTOM:
        assert sum(edit.example == row.example for edit in EDITS) >= 3, row.example

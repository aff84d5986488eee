"""What was learned from the record: rebuildable at any time."""

from enamelwright.records.kinds import content, derived, text, whole

posterior = derived(
    "posterior",
    text("of_table", nullable=False),
    whole("of_id"),
    text("quantity", nullable=False),
    content("figures", nullable=False),
    content("from_records", nullable=False),
)

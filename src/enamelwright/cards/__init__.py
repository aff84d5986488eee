"""Paper: typst templates and data become PDF bytes; the same plan always gives the same bytes."""

from enamelwright.cards.bench import bench_card
from enamelwright.cards.folder import set_cards, write_cards
from enamelwright.cards.kiln import kiln_cards

__all__ = ["bench_card", "kiln_cards", "set_cards", "write_cards"]

"""From piece and stack to ordered operations and firings: order and count are derived, never looked up by technique."""

from enamelwright.craft.sequence.order import Sequence, order

__all__ = ["Sequence", "order"]

"""Places in the kiln, as makers write them."""

from __future__ import annotations

#: Words for the middle of the kiln, in lower case; whoever writes nothing means it.
MIDDLE = frozenset({None, "", "centre", "center", "middle"})

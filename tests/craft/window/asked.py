"""Short ways to ask for a window in the tests."""

from __future__ import annotations

from typing import Any

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.operation import Window
from enamelwright.questions.window import WindowInput, answer

#: Known by its class of hardness alone: viscosity and threshold of the class.
JARS = [
    {"id": hardness, "name": hardness, "kind": "opaque", "mesh": 80, "fusing": {"hardness": hardness}}
    for hardness in ("soft", "medium", "hard")
]


def bench(*more: dict[str, Any], kiln: dict[str, Any] | None = None) -> Bench:
    kilns = [] if kiln is None else [{"name": "kiln of a test", **kiln}]
    return Bench.from_outside({"name": "test", "jars": [*JARS, *more], "kilns": kilns})


def ask(studio: Bench | None = None, **given: Any) -> Window:
    """The window of a 32 mm x 0.9 mm copper disc with 0.2 mm of medium enamel on mesh, unless told otherwise."""
    data = {"jar": "medium", "set_point_c": 800, "mesh": 80, **given}
    return answer(WindowInput.from_outside(data), studio or bench()).payload.window


def likely(studio: Bench | None = None, **given: Any) -> float:
    found = ask(studio, **given).seconds
    assert found is not None
    return found.value


def kiln(**fields: Any) -> Kiln:
    return Kiln.from_outside({"name": "kiln of a test", **fields})

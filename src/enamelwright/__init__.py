"""Take a design for an enamelled piece of metal to a sound, flat, repeatable piece, and do it again.

The public names, loaded when first used so that importing the package costs next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_WHERE = {
    "Piece": "craft.piece",
    "Coat": "craft.coat",
    "Jar": "craft.jar",
    "Bench": "craft.bench",
    "Kiln": "craft.kiln",
    "Plan": "craft.plan",
    "Verdict": "craft.verdict",
    "make_plan": "craft.planner",
    "read_piece": "files.piece_file",
    "read_bench": "files.piece_file",
    "question": "questions.question",
    "Answer": "questions.answer",
    "Figure": "figure",
    "Spread": "figure",
    "bench_card": "cards",
    "kiln_cards": "cards",
    "EnamelwrightError": "errors",
    "InputError": "errors",
}

__all__ = sorted(_WHERE)


def __getattr__(name: str) -> Any:
    """Load a public name from the room it lives in."""
    if name not in _WHERE:
        raise AttributeError(f"module 'enamelwright' has no attribute '{name}'")
    return getattr(import_module(f"enamelwright.{_WHERE[name]}"), name)


def __dir__() -> list[str]:
    """List the public names."""
    return [*__all__, "__version__"]

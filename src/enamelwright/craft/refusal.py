"""What is wrong with a description that is refused, in one sentence: what, where, and what to do."""

from __future__ import annotations

import re
from collections.abc import Callable
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from enamelwright import units
from enamelwright.errors import EnamelwrightError, InputError

if TYPE_CHECKING:
    from enamelwright.craft.description import Dimension

    DimensionAt = Callable[[tuple[int | str, ...]], Dimension | None]

#: Signs beyond which a refused number is told by its size alone.
_LONGEST_TOLD = 24
_SENTENCES = {
    "missing": ("is missing.", "Add it."),
    "string_type": ("should be text.", "Put it in quotation marks."),
    "bool_type": ("should be true or false.", ""),
    "int_type": ("should be a whole number.", ""),
    "int_from_float": ("should be a whole number.", ""),
    "int_parsing": ("should be a whole number.", ""),
    "tuple_type": ("should be a list.", "Put it in square brackets."),
    "dict_type": ("should be a table of keys and values.", ""),
    "float_type": ("should be a number.", ""),
    "finite_number": ("is not an ordinary number.", "Give a finite number."),
}
#: What is too long or too short, and how long it may be.
_TOO = {
    "string_too_long": ("too long", "At most {} signs."),
    "string_too_short": ("too short", "At least {} signs."),
    "too_long": ("too many", "At most {}."),
    "too_short": ("too few", "At least {}."),
}


def refusal(error: ValidationError, name: str, dimension_at: DimensionAt) -> InputError:
    """Turn the first complaint about a description into one sentence.

    Parameters
    ----------
    error : ValidationError
        All that was complained about.
    name : str
        What is described, where no field of it is at fault.
    dimension_at : callable
        The dimension of the field at a path, None for a plain one.
    """
    first = error.errors(include_url=False)[0]
    steps: list[str] = []
    dimension: Dimension | None = None
    for step in first["loc"]:
        if isinstance(step, int):
            steps[-1:] = [f"{steps[-1] if steps else ''}[{step + 1}]"]
        else:
            steps.append(str(step))
    where = ".".join(steps) or name
    kind = first["type"]
    context = first.get("ctx", {})
    if kind in _SENTENCES:
        words, remedy = _SENTENCES[kind]
        return InputError(f"this {words}", remedy, where)
    if kind == "literal_error":
        return InputError(
            f"'{str(first['input'])[:40]}' is not one of the choices.",
            _offer(first["input"], context["expected"]),
            where,
        )
    if kind in {"greater_than", "greater_than_equal", "less_than", "less_than_equal"}:
        dimension = dimension_at(first["loc"])
        limit = float(next(context[key] for key in ("gt", "ge", "lt", "le") if key in context))
        shown = units.show(limit, dimension.name) if dimension else f"{limit:g}"
        given = _given(first["input"], dimension)
        side = "more than" if "greater" in kind else "at most" if kind.endswith("equal") else "less than"
        side = "at least" if kind == "greater_than_equal" else side
        return InputError(f"{given} is outside what this can be.", f"It must be {side} {shown}.", where)
    if kind in _TOO:
        words, remedy = _TOO[kind]
        most = next((context[key] for key in ("max_length", "min_length") if key in context), "")
        return InputError(f"this is {words}.", remedy.format(most), where)
    if kind == "value_error":
        cause = context.get("error")
        if isinstance(cause, EnamelwrightError):
            return InputError(cause.message, cause.remedy, where)
        return InputError(f"{cause}", "", where)
    return InputError(f"{first['msg'].rstrip('.')}.", "", where)


def _given(value: Any, dimension: Dimension | None) -> str:
    """Show a number that is refused; one of a hundred digits by its size alone."""
    told = units.show(value, dimension.name) if dimension else str(value)
    if len(told) <= _LONGEST_TOLD:
        return told
    number = units.from_si(value, units.default_unit(dimension.name), dimension.name) if dimension else float(value)
    return f"{number:g} {units.default_unit(dimension.name) if dimension else ''}".rstrip()


def _offer(given: Any, expected: str) -> str:
    """Offer the nearest choices, or all of them when none is near."""
    choices = re.findall(r"'([^']*)'", expected)
    near = get_close_matches(str(given).lower(), choices, n=3, cutoff=0.5)
    return f"Did you mean {' or '.join(repr(one) for one in near)}?" if near else f"Use {expected}."

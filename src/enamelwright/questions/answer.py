"""The shape of every answer: a typed payload with its reasons, sources, assumptions and cautions."""

from __future__ import annotations

from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ConfigDict, SerializeAsAny

from enamelwright import units
from enamelwright.figure import Figure

P = TypeVar("P", bound=BaseModel)


class Answer(BaseModel, Generic[P]):
    """What a question returns.

    Parameters
    ----------
    question : str
        Its name.
    payload : BaseModel
        Typed answer made of figures.
    because, sources, assumptions, cautions : tuple of str
        The reasons; where rules and numbers come from; what was taken as given; what can hurt.
    engine : str
        Version and hash of the reference tables that made it.
    bench : str
        Revision of the bench it was answered from.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    question: str
    payload: SerializeAsAny[P]
    because: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    engine: str = ""
    bench: str = ""

    def to_json(self) -> dict[str, Any]:
        """Return plain JSON; each figure carries its SI unit and a line to show."""
        result: dict[str, Any] = plain(self)
        return result


def plain(value: Any) -> Any:
    """Turn models, tuples and figures into plain JSON values."""
    if isinstance(value, Figure):
        return {
            "value": value.value,
            "low": value.low,
            "high": value.high,
            "dimension": value.dimension,
            "unit": units.SI_UNITS[value.dimension],
            "shown": value.shown(),
            "origin": value.origin.model_dump(),
        }
    from enamelwright.craft.description import Described

    if isinstance(value, Described):
        return value.to_outside()
    if isinstance(value, BaseModel):
        return {name: plain(getattr(value, name)) for name in type(value).model_fields}
    if isinstance(value, tuple | list):
        return [plain(part) for part in value]
    if isinstance(value, dict):
        return {key: plain(part) for key, part in value.items()}
    return value

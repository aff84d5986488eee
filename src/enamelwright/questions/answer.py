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
            "unit": SI_UNITS.get(value.dimension, ""),
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


#: SI unit of each dimension, as written in JSON.
SI_UNITS: dict[str, str] = {
    "length": "m", "area": "m2", "volume": "m3", "mass": "kg", "temperature": "K", "temperature_difference": "K",
    "time": "s", "expansion": "1/K", "density": "kg/m3", "stress": "Pa", "curvature": "1/m", "areal_mass": "kg/m2",
    "energy_release": "J/m2", "specific_heat": "J/kg/K", "conductivity": "W/m/K", "heat_transfer": "W/m2/K",
    "viscosity": "Pa s", "power": "W", "energy": "J", "activation_energy": "J/mol", "toughness": "Pa m0.5",
    "molar_mass": "kg/mol", "angle": "rad", "ratio": "1", "count": "1",
}  # fmt: skip
assert set(SI_UNITS) == set(units.UNITS)

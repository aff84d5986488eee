"""A maker's own figure in place of a published limit, with where it stands and since when."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, field_validator, model_validator

from enamelwright import units
from enamelwright.craft.description import Described
from enamelwright.craft.health.limits import Limit, limits
from enamelwright.errors import InputError, UnknownName

#: Limits an estimate is held against, and the dimension each is told in.
OWNED: dict[str, str] = {
    "cd_air_osha_pel": "dust", "cd_air_osha_action": "dust", "cd_air_eu_oel_transition": "dust",
    "cd_air_eu_oel": "dust", "pb_air_osha_pel": "dust", "pb_air_osha_action": "dust", "pb_air_eu_oel": "dust",
    "dust_total_osha": "dust", "dust_resp_osha": "dust", "ir_eye_long": "heat_flux", "tc_cd": "concentration",
    "tc_pb": "concentration", "cu_drinking_action": "concentration", "cu_stlc_california": "concentration",
}  # fmt: skip
#: What each speaks of, as a maker would say it.
_SAID = {
    "cd": "cadmium", "pb": "lead", "dust": "dust", "ir": "infrared on the eye, long looks", "tc": "waste",
    "cu": "copper",
}  # fmt: skip


class OwnLimit(Described):
    """One limit of the tables that this studio goes by another figure for."""

    name: str = Field(description="key of the limit in the tables")
    value: Annotated[float, Field(gt=0)] = Field(description="in the unit of the table")
    source: Annotated[str, Field(min_length=3, max_length=120)] = Field(description="where it stands")
    date: Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$")] = Field(description="since when, or when it was read")

    @field_validator("name")
    @classmethod
    def _known(cls, name: str) -> str:
        if name not in OWNED:
            raise UnknownName.among("limit", name, tuple(OWNED))
        return name

    @model_validator(mode="after")
    def _real_day(self) -> OwnLimit:
        from datetime import date

        try:
            date.fromisoformat(self.date)
        except ValueError as error:
            raise InputError(f"{self.date} is no day.", "Write it as 2026-05-01.", "date") from error
        return self

    @classmethod
    def typed(cls, name: str, value: str, source: str, date: str) -> OwnLimit:
        """Read one as a maker types it, the value with its unit.

        Parameters
        ----------
        name : str
            Key of the limit in the tables.
        value : str
            With a unit.
        source, date : str
            Where it stands, and since when.
        """
        if name not in OWNED:
            raise UnknownName.among("limit", name, tuple(OWNED))
        if len(source.strip()) < 3:
            raise InputError("where does it stand?", "Name the rule, the office or the report.", "source")
        shown = units.from_si(units.parse(value, OWNED[name]), limits()[name].unit, OWNED[name])
        return cls.from_outside(
            {"name": name, "value": shown, "source": source.strip(), "date": date}, "your own limit"
        )

    def applied(self) -> Limit:
        """Return it as a limit; its words still tell what it stands in for."""
        old = limits()[self.name]
        return Limit(
            old.name, self.value, old.unit, "your own", self.source, self.date, "",
            f"instead of {old.shown().replace('ug/', 'µg/')}, {old.words()}", old.note,
        )  # fmt: skip


def limit_words(name: str) -> str:
    """Say which limit a key names, in words.

    Parameters
    ----------
    name : str
        Key of the limit in the tables.
    """
    one, said = limits()[name], _SAID[name.split("_")[0]]
    if name.startswith("tc_"):
        said = f"{_SAID[name[3:]]} in waste"
    elif name.startswith("dust_"):
        said = "dust in all" if "total" in name else "respirable dust"
    when = f", {one.date}" if one.date and not one.date[:4].isdecimal() else ""
    when = f", from {one.date}" if one.date[:4].isdecimal() else when
    return f"{said}: {one.shown().replace('ug/', 'µg/')}, {one.jurisdiction}, {one.clause}{when}"

"""How a thing described by a person becomes a frozen model, and the only door units cross.

Every model of the trade derives from `Described`. Its fields hold SI floats annotated with a
`Dimension`; outside (piece file, question input, form, JSON) the same field is written either as a
key that names its unit (``thickness_mm = 0.8``) or as a bare key with a string
(``thickness = "1/32 in"``). A bare number under a bare key is refused, as are unknown keys and
numbers that are not finite.
"""

from __future__ import annotations

import math
import types
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache, partial
from typing import Annotated, Any, Literal, Self, Union, get_args, get_origin, get_type_hints

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from enamelwright import units
from enamelwright.craft.refusal import refusal
from enamelwright.errors import EnamelwrightError, InputError, QuantityError


@dataclass(frozen=True)
class Dimension:
    """Marks a float field as a quantity.

    Parameters
    ----------
    name : str
        A dimension of :mod:`enamelwright.units`.
    suffix : str
        Key suffix the quantity is written with when a model is printed again.
    reader : callable, optional
        Reads a string that is not a plain number and unit (a sheet gauge); returns SI.
    signed : bool
        Whether it may be below nothing though no such thing is: stock that was written off twice.
    """

    name: str
    suffix: str
    reader: Callable[[str], float] | None = None
    signed: bool = False


def _read_thickness(text: str) -> float:
    from enamelwright.craft.gauge import parse_thickness

    return parse_thickness(text)


Length = Annotated[float, Dimension("length", "mm")]
Thickness = Annotated[float, Dimension("length", "mm", _read_thickness)]
Area = Annotated[float, Dimension("area", "mm2")]
Mass = Annotated[float, Dimension("mass", "g")]
Temperature = Annotated[float, Dimension("temperature", "c")]
TemperatureDifference = Annotated[float, Dimension("temperature_difference", "k")]
Time = Annotated[float, Dimension("time", "s")]
Expansion = Annotated[float, Dimension("expansion", "ppm_per_k")]
Density = Annotated[float, Dimension("density", "g_per_cm3")]
Modulus = Annotated[float, Dimension("stress", "gpa")]
Attenuation = Annotated[float, Dimension("attenuation", "per_mm")]

#: Longest text a person may give for a name or a note.
LONGEST_NAME = 120
LONGEST_NOTE = 2000

Name = Annotated[str, Field(min_length=1, max_length=LONGEST_NAME)]
Note = Annotated[str, Field(max_length=LONGEST_NOTE)]


class Described(BaseModel):
    """Base of everything a person describes: frozen, strict, finite."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, str_strip_whitespace=True)

    @classmethod
    def from_outside(cls, data: Mapping[str, Any], where: str = "") -> Self:
        """Build the model from the outside form.

        Parameters
        ----------
        data : mapping
            Keys with units or strings, as read from TOML or JSON.
        where : str
            File or place, put in front of every complaint.

        Raises
        ------
        InputError
            One sentence naming the field and the remedy.
        """
        try:
            _refuse_commands(data)
            return cls.model_validate(_inward(cls, data, ""))
        except ValidationError as error:
            raise refusal(error, cls.__name__, partial(_dimension_at, cls)).at(where) from error
        except EnamelwrightError as error:
            raise error.at(where) from error

    def to_outside(self) -> dict[str, Any]:
        """Write the model in the outside form, leaving out what is at its default."""
        result: dict[str, Any] = {}
        for field, _hint, dimension in _fields(type(self)):
            value = getattr(self, field)
            if value == type(self).model_fields[field].default:
                continue
            if dimension is not None:
                result[f"{field}_{dimension.suffix}"] = _outward_number(value, dimension)
            else:
                result[field] = _outward(value)
        return result

    @classmethod
    def outside_schema(cls) -> dict[str, Any]:
        """Return the JSON Schema of the outside form."""
        definitions: dict[str, Any] = {}
        _schema_of(cls, definitions)
        return {
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "$ref": f"#/$defs/{cls.__name__}",
            "$defs": definitions,
        }


#: Signs that turn the direction of writing, so that a text reads otherwise than it is.
_TURNS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def _refuse_commands(data: Any) -> None:
    """Refuse text that would command a terminal, turn its own reading round, or is no text at all."""
    left: list[tuple[str, Any]] = [("", data)]
    while left:
        place, thing = left.pop()
        if isinstance(thing, Mapping):
            left.extend((place, str(key)) for key in thing)
            left.extend((f"{place}.{key}" if place else str(key), part) for key, part in thing.items())
        elif isinstance(thing, list | tuple):
            left.extend((f"{place}[{n}]", part) for n, part in enumerate(thing, 1))
        elif isinstance(thing, str):
            for sign in "" if thing.isprintable() else thing:
                if sign in _TURNS or (unicodedata.category(sign) in {"Cc", "Cs"} and sign not in "\n\r\t"):
                    raise InputError(f"this holds the hidden sign U+{ord(sign):04X}.", "Take it out.", place)


@lru_cache(maxsize=256)
def _fields(cls: type[BaseModel]) -> tuple[tuple[str, Any, Dimension | None], ...]:
    """Return (name, hint, dimension) of every field of a model."""
    hints = get_type_hints(cls, include_extras=True)
    return tuple((name, hints[name], _dimension(hints[name])) for name in cls.model_fields)


@dataclass(frozen=True)
class _Slot:
    """What a field can take: the keys it may be given by, the models it can hold, and whether these come by name."""

    field: str
    dimension: Dimension | None
    keys: tuple[str, ...]
    models: tuple[type[Described], ...]
    named: bool


@lru_cache(maxsize=256)
def _slots(cls: type[BaseModel]) -> tuple[_Slot, ...]:
    """Return what every field of a model can take; worked out once, since a stack is read at every move of a hand."""
    return tuple(
        _Slot(name, dimension, tuple(_keys(name, dimension)), tuple(dict.fromkeys(_models(hint))), _is_table(hint))
        for name, hint, dimension in _fields(cls)
    )


def _dimension(hint: Any) -> Dimension | None:
    """Find the dimension of a number, of an optional number, or of lists of numbers."""
    if get_origin(hint) is Annotated:
        for mark in get_args(hint)[1:]:
            if isinstance(mark, Dimension):
                return mark
        return _dimension(get_args(hint)[0])
    if get_origin(hint) in (Union, types.UnionType, tuple, list):
        for part in get_args(hint):
            found = _dimension(part)
            if found is not None:
                return found
    return None


def _models(hint: Any) -> Iterator[type[Described]]:
    """Yield every described model a hint can hold."""
    if isinstance(hint, type) and issubclass(hint, Described):
        yield hint
    for part in get_args(hint):
        if part is not Ellipsis and not isinstance(part, Dimension):
            yield from _models(part)


@lru_cache(maxsize=256)
def _tag(model: type[BaseModel]) -> tuple[str, str] | None:
    """Return (field, value) of the literal that tells one alternative from the others."""
    for name in ("shape", "kind"):
        if name in model.model_fields:
            values = get_args(get_type_hints(model)[name])
            if len(values) == 1 and get_origin(get_type_hints(model)[name]) is Literal:
                return name, values[0]
    return None


def _choose(models: Sequence[type[Described]], data: Mapping[str, Any], place: str) -> type[Described]:
    """Pick the alternative whose tag the data carries."""
    if len(models) == 1:
        return models[0]
    tags = {}
    for model in models:
        tag = _tag(model)
        if tag is not None:
            tags[tag[1]] = (tag[0], model)
    key = next(iter(tags.values()))[0]
    given = data.get(key)
    if not isinstance(given, str) or given not in tags:
        raise InputError(f"'{key}' must be one of: {', '.join(tags)}.", where=place)
    return tags[given][1]


def _inward(cls: type[Described], data: Any, place: str) -> dict[str, Any]:
    """Turn the outside form of one model into its SI form."""
    if not isinstance(data, Mapping):
        raise InputError("this should be a table of keys and values.", where=place or cls.__name__)
    result: dict[str, Any] = {}
    left = dict(data)
    for slot in _slots(cls):
        field = slot.field
        spot = f"{place}.{field}" if place else field
        if slot.dimension is not None:
            found = _quantity(slot, slot.dimension, left, spot)
            if found is not None:
                result[field] = found
        elif field in left:
            result[field] = _nested(slot, left.pop(field), spot)
    if left:
        key = str(next(iter(left)))
        names = [name for slot in _slots(cls) for name in slot.keys]
        near = get_close_matches(key, names, n=2, cutoff=0.5)
        remedy = f"Did you mean {' or '.join(near)}?" if near else "Take it out or correct it."
        raise InputError(f"'{key[:40]}' is not known here.", remedy, place or cls.__name__)
    return result


def _keys(field: str, dimension: Dimension | None) -> list[str]:
    if dimension is None:
        return [field]
    return [field] + [
        f"{field}_{suffix}" for suffix, unit in units.SUFFIXES.items() if unit in units.UNITS[dimension.name]
    ]


def _quantity(slot: _Slot, dimension: Dimension, left: dict[str, Any], spot: str) -> Any:
    """Take one quantity out of `left`, whichever way it was written."""
    given = [key for key in slot.keys if key in left]
    if not given:
        return None
    if len(given) > 1:
        raise InputError(f"{' and '.join(given)} say the same thing twice.", "Keep one of them.", spot)
    key = given[0]
    value = left.pop(key)
    suffix = key[len(slot.field) + 1 :]
    return _convert(value, units.SUFFIXES.get(suffix, ""), dimension, key, spot)


def _convert(value: Any, unit: str, dimension: Dimension, key: str, spot: str) -> Any:
    if value is None:
        return None
    if isinstance(value, list | tuple):
        return tuple(_convert(part, unit, dimension, key, f"{spot}[{n}]") for n, part in enumerate(value))
    place = spot.rsplit(".", 1)[0] + f".{key}" if "." in spot else key
    try:
        if unit:
            if isinstance(value, bool) or not isinstance(value, int | float):
                raise QuantityError("a plain number belongs here.", "The key already names the unit.")
            if (isinstance(value, int) and abs(value) > 10**300) or not math.isfinite(value):
                raise QuantityError("this number is not finite.", "Give an ordinary number.")
            sign = -1.0 if dimension.signed and value < 0 else 1.0
            return sign * units.to_si(sign * float(value), unit, dimension.name)
        if not isinstance(value, str):
            example = f"{key}_{dimension.suffix}"
            raise QuantityError(
                "a bare number does not say its unit.",
                f'Write {example} = {value} or {key} = "... {units.default_unit(dimension.name)}".',
            )
        if dimension.reader is not None:
            return dimension.reader(value)
        if dimension.signed and value.lstrip().startswith("-"):
            return -units.parse(value.lstrip().removeprefix("-"), dimension.name)
        return units.parse(value, dimension.name)
    except EnamelwrightError as error:
        raise error.at(place) from error


def _nested(slot: _Slot, value: Any, spot: str) -> Any:
    """Convert models inside lists and tables."""
    if not slot.models or value is None:
        return value
    if isinstance(value, list | tuple):
        return tuple(_nested(slot, part, f"{spot}[{n}]") for n, part in enumerate(value, 1))
    if isinstance(value, BaseModel):
        return value
    if isinstance(value, Mapping) and slot.named:
        return {name: _nested_one(slot.models, part, f"{spot}.{name}") for name, part in value.items()}
    return _nested_one(slot.models, value, spot)


def _nested_one(models: Sequence[type[Described]], value: Any, spot: str) -> Any:
    if not isinstance(value, Mapping):
        raise InputError("this should be a table of keys and values.", where=spot)
    return _inward(_choose(models, value, spot), value, spot)


def _is_table(hint: Any) -> bool:
    if get_origin(hint) is dict:
        return True
    return any(_is_table(part) for part in get_args(hint) if part is not Ellipsis)


def _outward(value: Any) -> Any:
    if isinstance(value, Described):
        return value.to_outside()
    if isinstance(value, tuple | list):
        return [_outward(part) for part in value]
    if isinstance(value, dict):
        return {key: _outward(part) for key, part in value.items()}
    return value


#: Digits kept when a quantity is written back; fewer than a float holds, more than a bench can measure.
_DIGITS = 10


def _outward_number(value: Any, dimension: Dimension) -> Any:
    if value is None:
        return None
    if isinstance(value, tuple):
        return [_outward_number(part, dimension) for part in value]
    number = units.from_si(value, units.SUFFIXES[dimension.suffix], dimension.name)
    return float(f"{number:.{_DIGITS}g}")


def _dimension_at(cls: type[BaseModel], path: tuple[int | str, ...]) -> Dimension | None:
    """Follow an error's path to the dimension of the field it names."""
    current: list[type[BaseModel]] = [cls]
    found: Dimension | None = None
    for step in path:
        if isinstance(step, int):
            continue
        following: list[type[BaseModel]] = []
        for model in current:
            for name, hint, dimension in _fields(model):
                if name == step:
                    found = dimension
                    following.extend(_models(hint))
        current = following or current
    return found


_JSON = {str: "string", bool: "boolean", int: "integer", float: "number"}


def _schema_of(cls: type[BaseModel], definitions: dict[str, Any]) -> dict[str, Any]:
    """Write the outside schema of one model into `definitions` and return a reference to it."""
    name = cls.__name__
    if name not in definitions:
        definitions[name] = {}
        properties: dict[str, Any] = {}
        required = []
        for field, hint, dimension in _fields(cls):
            info = cls.model_fields[field]
            if dimension is not None:
                for key in _keys(field, dimension):
                    properties[key] = _quantity_schema(hint, key == field, dimension)
            else:
                properties[field] = _hint_schema(hint, definitions)
                if info.is_required():
                    required.append(field)
            if info.description:
                properties[field]["description"] = info.description
        definitions[name] = {
            "type": "object",
            "description": (cls.__doc__ or "").strip().splitlines()[0],
            "properties": properties,
            "required": required,
            "additionalProperties": False,
        }
    return {"$ref": f"#/$defs/{name}"}


def _quantity_schema(hint: Any, bare: bool, dimension: Dimension) -> dict[str, Any]:
    leaf: dict[str, Any] = {"type": "string"} if bare else {"type": "number"}
    if bare:
        leaf["examples"] = [f"1 {units.default_unit(dimension.name)}".strip()]
    origin = get_origin(hint)
    if origin is Annotated:
        return _quantity_schema(get_args(hint)[0], bare, dimension)
    if origin in (tuple, list):
        return {"type": "array", "items": _quantity_schema(get_args(hint)[0], bare, dimension)}
    if origin in (Union, types.UnionType):
        parts = [part for part in get_args(hint) if part is not type(None)]
        return _quantity_schema(parts[0], bare, dimension)
    return leaf


def _hint_schema(hint: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    origin = get_origin(hint)
    if origin is Annotated:
        return _hint_schema(get_args(hint)[0], definitions)
    if origin is Literal:
        return {"enum": list(get_args(hint))}
    if origin in (Union, types.UnionType):
        parts = [part for part in get_args(hint) if part is not type(None)]
        options = [_hint_schema(part, definitions) for part in parts]
        return options[0] if len(options) == 1 else {"anyOf": options}
    if origin in (tuple, list):
        return {"type": "array", "items": _hint_schema(get_args(hint)[0], definitions)}
    if origin is dict:
        return {"type": "object", "additionalProperties": _hint_schema(get_args(hint)[1], definitions)}
    if isinstance(hint, type) and issubclass(hint, BaseModel):
        return _schema_of(hint, definitions)
    if hint in _JSON:
        return {"type": _JSON[hint]}
    return {}

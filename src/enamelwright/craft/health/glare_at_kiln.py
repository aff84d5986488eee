"""Glare at an open kiln: how strongly it falls on the eye, how long that may last, and which filter.

Only the heat taken up by cornea and lens is near its limit at the temperatures of enamelling; the limits of
the retina and of blue light are hundreds of times further off. The chamber counts as black, which is the bound.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from enamelwright import units
from enamelwright.craft.health.limits import Applied, limit, limits
from enamelwright.errors import InputError, OutOfReach
from enamelwright.figure import Figure, Origin
from enamelwright.physics.thermal_radiation import band_radiance, emitted
from enamelwright.physics.view_factor import patch_to_rectangle
from enamelwright.reference.loader import Fact, facts_of, value

_ORIGIN = Origin(kind="computed", source="black opening, Planck's law from 780 to 3000 nm, view of a rectangle")
_SCALE = "en171_scale_"


def told(key: str) -> Fact:
    """Return one constant of the table of glare, named without its field."""
    return facts_of("health/glare")[f"health/{key}"]


@dataclass(frozen=True)
class Opening:
    """An open kiln as the eye meets it.

    Attributes
    ----------
    temperature : float
        Of the chamber [K].
    width, height : float
        Clear opening [m].
    distance : float
        From its middle to the eye or the hand [m].
    """

    temperature: float
    width: float
    height: float
    distance: float

    def __post_init__(self) -> None:
        """Refuse what cannot be: no opening, no distance, a chamber hotter than any kiln."""
        if min(self.width, self.height) <= 0:
            raise InputError("a door that opens has a width and a height.", "Measure the clear opening.")
        if self.distance < told("nearest").value:
            raise InputError(
                f"nothing is judged nearer than {units.show(told('nearest').value, 'length', 'mm')} to the opening.",
                "Measure from the opening to the eye.",
            )
        if self.temperature > told("hottest").value:
            hottest = units.show(told("hottest").value, "temperature", "°C")
            raise InputError(f"no kiln of this trade is hotter than {hottest}.", "Check the temperature and its scale.")

    @property
    def seen(self) -> float:
        """Share of the view before it that the opening fills."""
        return float(patch_to_rectangle(self.width, self.height, self.distance))


@dataclass(frozen=True)
class Glare:
    """What falls on the eye.

    Attributes
    ----------
    irradiance : Figure
        780 to 3000 nm [W/m2].
    once : Figure
        How long one look may last without a filter, once in a quarter of an hour [s]; the longest that is told
        where the limit for long looks is not reached.
    endless : bool
        Whether even a long look stays below that limit.
    transmittance : Figure
        Most that a filter may let through of that band for looking without end.
    mean : Figure
        Irradiance over the busiest quarter of an hour or so of a session of looks [W/m2].
    share : float
        Of the limit for long looks that mean is, at its upper end.
    scale : str
        Scale number of an infrared filter for so hot a source.
    """

    irradiance: Figure
    once: Figure
    endless: bool
    transmittance: Figure
    mean: Figure
    share: float
    scale: str


def glare(opening: Opening, look: float, looks: float, period: float, own: Iterable[Applied] = ()) -> Glare:
    """Work out the glare of an open kiln.

    Parameters
    ----------
    opening : Opening
        As the eye meets it.
    look : float
        How long one look lasts [s].
    looks : float
        How many there are.
    period : float
        Over how long they are spread [s]; anything shorter than a thousand seconds counts as that.
    own : iterable of Applied
        A studio's own limits.

    Raises
    ------
    OutOfReach
        When the chamber hardly glows.
    """
    if opening.temperature < told("coolest").value:
        shown = units.show(told("coolest").value, "temperature", "°C")
        raise OutOfReach(
            f"below {shown} an open kiln sends too little to be told beside the limits for the eye.",
            "Keep the distance that feels cool to the face.",
        )
    irradiance = _band(opening)
    long_limit, short = limit("ir_eye_long", own).value, limit("ir_eye_short_coeff").value
    power, longest = told("short_power").value, told("long_look").value

    def allowed(strength: float) -> float:
        return longest if strength <= long_limit else min((short / strength) ** (1 / power), longest)

    total = looks * look
    spread = max(period, longest)
    if total > period > 0:
        raise InputError("the looks last longer than the session.", "Give the length of the session.")
    # no stretch of a thousand seconds holds more than all of it, nor more than its share of an even session
    busy = min(total, longest) if period <= longest else max(total * longest / spread, min(look, longest))
    mean = Figure(
        value=irradiance.value * busy / longest, low=irradiance.low * busy / longest,
        high=irradiance.high * busy / longest, dimension="heat_flux", origin=_ORIGIN,
    )  # fmt: skip
    return Glare(
        irradiance=irradiance,
        once=Figure(
            value=allowed(irradiance.value), low=allowed(irradiance.high), high=allowed(irradiance.low),
            dimension="time", origin=_ORIGIN,
        ),
        endless=irradiance.high <= long_limit,
        transmittance=Figure(
            value=min(1.0, long_limit / irradiance.value), low=min(1.0, long_limit / irradiance.high),
            high=min(1.0, long_limit / irradiance.low), dimension="ratio", origin=_ORIGIN,
        ),
        mean=mean,
        share=mean.high / long_limit,
        scale=scale_for(opening.temperature),
    )  # fmt: skip


def _band(opening: Opening) -> Figure:
    """Return the irradiance of the band; the ends are a grey chamber that reads high, a black one that reads low."""
    short, long = told("band_short").value, told("band_long").value
    off = value("heat/kiln_reading_sd")
    shares = told("emissivity")

    def falls(kelvin: float) -> float:
        from math import pi

        return float(pi * band_radiance(short, long, kelvin) * opening.seen)

    return Figure(
        value=falls(opening.temperature), low=shares.low * falls(opening.temperature - off),
        high=falls(opening.temperature + off), dimension="heat_flux", origin=_ORIGIN,
    )  # fmt: skip


def whole_flux(opening: Opening) -> Figure:
    """All heat that falls on a patch before the opening, whatever its wavelength [W/m2].

    Parameters
    ----------
    opening : Opening
        Its distance is that of the hand or the face.
    """
    off, shares = value("heat/kiln_reading_sd"), told("emissivity")
    return Figure(
        value=float(emitted(opening.temperature)) * opening.seen,
        low=shares.low * float(emitted(opening.temperature - off)) * opening.seen,
        high=float(emitted(opening.temperature + off)) * opening.seen,
        dimension="heat_flux",
        origin=Origin(kind="computed", source="black opening, Stefan and Boltzmann, view of a rectangle"),
    )


@lru_cache(maxsize=1)
def _scales() -> tuple[tuple[float, str], ...]:
    """Return (hottest source [K], scale number), the coolest first."""
    found = [
        (units.to_si(one.value, "°C", "temperature"), name.removeprefix(_SCALE))
        for name, one in limits().items()
        if name.startswith(_SCALE)
    ]
    return tuple(sorted(found))


def scale_for(temperature: float) -> str:
    """Return the scale number of infrared filters for a source of a mean temperature [K].

    Raises
    ------
    OutOfReach
        When the guidance goes no further.
    """
    for hottest, scale in _scales():
        if temperature <= hottest:
            return scale
    raise OutOfReach("the guidance on filters goes no further than this.", "Ask the maker of the filter.")

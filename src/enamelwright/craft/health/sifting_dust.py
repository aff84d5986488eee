"""Dust of a session at the bench: how much is in the air round the face and in the room, and what helps.

A screening estimate in three tiers. How much of what is sifted stays in the air was never measured for this
work, so the high end is a bound, and the middle and the low end are guesses below it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright.craft.sieve import grain_of_mesh
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.physics.dust_sizes import Conventions, aerodynamic_diameter, lognormal_shares
from enamelwright.physics.settling import StillAir
from enamelwright.physics.two_zone_air import TwoZones, hemisphere_exchange, hemisphere_volume
from enamelwright.reference.loader import Fact, facts_of, rows

Array = npt.NDArray[np.float64]
Work = Literal["sifting", "dry brushing", "dry stoning", "wet stoning", "wet packing"]
Part = Literal["total", "inhalable", "respirable"]
Zone = Literal["near", "far"]

#: Kinds of dust that limits speak of, and the zones they are told for.
PARTS: tuple[Part, ...] = ("total", "inhalable", "respirable")
ZONES: tuple[Zone, ...] = ("near", "far")
#: Sizes the powder is sorted into, a decade, and the finest and coarsest of them [m].
SIZES_A_DECADE = 24
FINEST, COARSEST = 1e-7, 1e-3
#: A micrometre [m], the unit of the sizes in the table of works.
MICRON = 1e-6
_ORIGIN = Origin(kind="assumption", source="two zones of a room; what stays in the air is a bound and two guesses")


def told(key: str) -> Fact:
    """Return one constant of the table of dust, named without its field."""
    return facts_of("health/dust")[f"health/{key}"]


@dataclass(frozen=True)
class Powder:
    """What is handled, by its sizes.

    Attributes
    ----------
    median, spread, largest : float
        Of the lognormal mass before the cut [m], its geometric standard deviation, and the cut [m].
    fines : float
        Share of the mass that is fine after all, in powder whose fines were washed out.
    density : float
        Of the grains [kg/m3].
    """

    median: float
    spread: float
    largest: float
    fines: float
    density: float

    @classmethod
    def of_mesh(cls, mesh: int, washed: bool, density: float | None = None) -> Powder:
        """Powder as sold through a sieve, or washed so that its fines went off with the water.

        Parameters
        ----------
        mesh : int
            ASTM E11 number it fell through.
        washed : bool
            Whether the fines were washed out.
        density : float, optional
            Of the glass [kg/m3].
        """
        opening = grain_of_mesh(mesh)
        kind = "washed" if washed else "sold"
        return cls(
            median=told(f"{kind}_median").value * opening,
            spread=told(f"{kind}_spread").value,
            largest=opening,
            fines=told("fines_share").value if washed else 0.0,
            density=told("powder_density").value if density is None else density,
        )

    @classmethod
    def of_work(cls, work: Work, density: float | None = None) -> Powder | None:
        """What a work takes off by itself; None where it handles powder as it is described.

        Parameters
        ----------
        work : str
            What is done.
        density : float, optional
            Of the glass [kg/m3].
        """
        row = work_row(work)
        if not row["median_um"]:
            return None
        return cls(
            median=float(row["median_um"]) * MICRON,
            spread=float(row["spread"]),
            largest=float(row["largest_um"]) * MICRON,
            fines=0.0,
            density=told("powder_density").value if density is None else density,
        )

    def shares(self) -> Array:
        """Share of the mass in each of the sizes."""
        edges, _ = sizes()
        main = lognormal_shares(edges, self.median, self.spread, self.largest)
        if not self.fines:
            return main
        fine = lognormal_shares(edges, told("fines_median").value, told("fines_spread").value, self.largest)
        return np.asarray((1 - self.fines) * main + self.fines * fine)


@dataclass(frozen=True)
class Room:
    """The room and how the air moves in it.

    Attributes
    ----------
    volume : float
        [m3].
    changes : float
        Fresh air [1/s].
    ceiling : float
        [m].
    reach : float
        Radius of the air round hands and face [m].
    air_speed : float
        Of the currents in it [m/s].
    cleaner : float
        Clean air of an air cleaner [m3/s].
    capture : float
        Share that an exhaust beside the work draws away.
    """

    volume: float
    changes: float
    ceiling: float
    reach: float
    air_speed: float
    cleaner: float = 0.0
    capture: float = 0.0

    def zones(self) -> TwoZones:
        """Return its two zones."""
        near = hemisphere_volume(self.reach)
        if near >= self.volume / 2:
            raise InputError("this room is hardly more than the air round the hands.", "Give its volume in m3.")
        return TwoZones(
            near,
            self.volume - near,
            hemisphere_exchange(self.reach, self.air_speed),
            self.changes * self.volume + self.cleaner,
        )


@dataclass(frozen=True)
class Session:
    """One session of a work.

    Attributes
    ----------
    work : str
        What is done.
    mass : float
        Of powder handled, or of glass taken off [kg].
    elapsed : float
        From the first grain to leaving the room [s]; the dust is spread over all of it.
    """

    work: Work
    mass: float
    elapsed: float


@dataclass(frozen=True)
class Air:
    """Dust in the air while the session lasts, at the bound of what may be set free [kg/m3].

    Attributes
    ----------
    near, far : tuple of float
        Total, inhalable, respirable.
    """

    near: tuple[float, float, float]
    far: tuple[float, float, float]

    def figure(self, zone: Zone, part: Part, share: float = 1.0, elapsed: float | None = None) -> Figure:
        """Return the bracket of one kind of dust [kg/m3]: low, middle and high tier.

        Parameters
        ----------
        zone, part : str
            Where, and which.
        share : float
            Of the mass that is asked for, such as that of a metal.
        elapsed : float, optional
            Spread over a shift of eight hours when the session's length is given [s].
        """
        top = getattr(self, zone)[PARTS.index(part)] * share
        if elapsed is not None:
            top *= elapsed / told("shift").value
        return Figure(
            value=top * told("tier_middle").value, low=top * told("tier_low").value, high=top, dimension="dust",
            origin=_ORIGIN,
        )  # fmt: skip


def work_row(work: Work) -> dict[str, str]:
    """Return the row of one work."""
    return dict(next(row for row in rows("health/dust_works") if row["work"] == work))


@lru_cache(maxsize=1)
def sizes() -> tuple[Array, Array]:
    """Return the edges of the sizes and their middles [m]."""
    count = int(np.ceil(SIZES_A_DECADE * np.log10(COARSEST / FINEST)))
    edges = np.geomspace(FINEST, COARSEST, count + 1)
    return edges, np.sqrt(edges[1:] * edges[:-1])


@lru_cache(maxsize=1)
def conventions() -> Conventions:
    """Return the conventions for health-related sampling."""
    return Conventions(
        told("inhalable_floor").value,
        told("inhalable_slope").value,
        told("thoracic_median").value,
        told("respirable_median").value,
        told("convention_spread").value,
    )


@lru_cache(maxsize=1)
def still_air() -> StillAir:
    """Return the air of a room."""
    return StillAir(told("air_viscosity").value, told("air_density").value, told("air_free_path").value)


@lru_cache(maxsize=16)
def _falls(density: float, count: int) -> Array:
    return still_air().fall_speed(sizes()[1][:count], density)


def air_of(powder: Powder, session: Session, room: Room) -> Air:
    """Work out the dust in the air, at the bound of what may be set free.

    Parameters
    ----------
    powder : Powder
        What is handled.
    session : Session
        The work.
    room : Room
        Where.

    Raises
    ------
    InputError
        When the session has no length or no mass, or the air never changes.
    """
    if not (session.elapsed > 0 and session.mass >= 0):
        raise InputError("a session lasts some time and handles no less than nothing.", "Give minutes and grams.")
    shares = powder.shares()
    count = int(np.flatnonzero(shares)[-1]) + 1  # nothing is asked of sizes coarser than any grain
    shares, middle = shares[:count], sizes()[1][:count]
    aero = aerodynamic_diameter(middle, powder.density, told("unit_density").value)
    escape = 1 / (1 + (aero / told("escape_size").value) ** told("escape_power").value)
    loose = float(work_row(session.work)["loose"]) * (1 - room.capture)
    source = session.mass / session.elapsed * loose * shares * escape
    speed = _falls(powder.density, count)
    near, far = room.zones().steady(source, told("settling_factor").value * speed / room.reach, speed / room.ceiling)
    law = conventions()
    parts = (np.ones_like(middle), law.inhalable_share(aero), law.respirable_share(aero))

    def sums(zone: Array) -> tuple[float, float, float]:
        first, second, third = (float(np.sum(zone * part)) for part in parts)
        return first, second, third

    return Air(sums(near), sums(far))


@dataclass(frozen=True)
class Help:
    """One change of habit.

    Attributes
    ----------
    words : str
        What to do.
    left : float
        Share of the near total dust that is left.
    """

    words: str
    left: float


def helps(powder: Powder, session: Session, room: Room, mesh: int | None, washed: bool) -> tuple[Help, ...]:
    """Work out what each change of habit leaves of the dust at the face, the one that helps most first.

    Parameters
    ----------
    powder, session, room
        As in :func:`air_of`.
    mesh : int or None
        Of the powder; None where it is not powder that makes the dust.
    washed : bool
        Whether its fines were washed out already.
    """
    now = air_of(powder, session, room).near[0]
    if now <= 0:
        return ()
    tried: list[tuple[str, Powder, Session, Room]] = []
    if session.work in {"sifting", "dry brushing"}:
        tried.append(("lay it wet instead of sifting it", powder, replace(session, work="wet packing"), room))
        if mesh is not None and not washed:
            clean = Powder.of_mesh(mesh, True, powder.density)
            tried.append(("wash the fines out of the powder first", clean, session, room))
    if session.work == "dry stoning":
        tried.append(("stone it under water", powder, replace(session, work="wet stoning"), room))
    if room.capture < told("capture").value:
        near = replace(room, capture=told("capture").value)
        tried.append(("an exhaust with a HEPA filter right beside the work", powder, session, near))
    if not room.cleaner:
        cleaned = replace(room, cleaner=told("cleaner").value)
        tried.append(("a room air cleaner with a HEPA filter", powder, session, cleaned))
    if room.changes < told("good_changes").value:
        aired = replace(room, changes=told("good_changes").value)
        tried.append((f"{_hourly(told('good_changes').value)} changes of air an hour", powder, session, aired))
    found = [Help(words, air_of(p, s, r).near[0] / now) for words, p, s, r in tried]
    return tuple(sorted(found, key=lambda one: one.left))


def _hourly(rate: float) -> str:
    from enamelwright import units

    return f"{units.from_si(rate, '1/h', 'rate'):.0f}"

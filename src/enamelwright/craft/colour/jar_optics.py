"""What is known of the colour of one jar: fitted from tiles, typed, stood in for by one colour, or invented."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.jar_spread import Basis, prior_rows
from enamelwright.craft.colour.light import COLUMNS, seen_under
from enamelwright.craft.jar import HazardFacet, Jar, OpticsFacet
from enamelwright.errors import OutOfReach
from enamelwright.figure import standard
from enamelwright.physics.colour.colour_space import BANDS, xyz_of_lab
from enamelwright.physics.colour.layer_optics import below_surface
from enamelwright.physics.colour.spectrum_recovery import recovered_reflectance
from enamelwright.physics.colour.stack_optics import scattering_at_bands
from enamelwright.reference.loader import rows, value

Array = npt.NDArray[np.float64]
OpticalClass = Literal["transparent", "opal", "opaque"]

#: Ends within which a drawn absorption [1/mm] is held: outside them no eye sees a difference.
LEAST_LOG, MOST_LOG = -12.0, 8.0
#: Steepest fall of scattering with wavelength a draw may take; that of the smallest particles is 4.
STEEPEST = 6.0
#: Reflectances from which masstone tells a ratio of absorption to scattering at all.
DARKEST, PALEST = 0.002, 0.995
_PER_MM = 1e3  # an absorption of 1/mm in 1/m

_CLASSES: dict[str, OpticalClass] = {"transparent": "transparent", "flux": "transparent", "opal": "opal"}


@dataclass(frozen=True, eq=False)
class JarOptics:
    """Absorption and scattering of one jar.

    Attributes
    ----------
    jar, name : str
        Id and name.
    kind : str
        ``transparent``, ``opal`` or ``opaque``.
    absorption : ndarray, shape (36,)
        K of diffuse light [1/m].
    scattering, power : float
        S at 550 nm [1/m], and the power it falls with.
    index : float
        Refractive index.
    basis : str
        ``fitted``, ``described`` (curves that do not say how sure they are), ``one colour`` (a stopgap) or
        ``invented``.
    origin : str
        The same in words.
    factor : ndarray, shape (r, 38), or None
        Rows F; the covariance of (ln K at the bands, ln S, power) is F'F. None when nothing says how sure it is; then
        draws are as wide as is assumed of curves of its basis.
    unseen_error : float or None
        CIEDE2000 by which foretold tiles were missed; None until there are enough of them.
    """

    jar: str
    name: str
    kind: OpticalClass
    absorption: Array
    scattering: float
    power: float
    index: float
    basis: Basis
    origin: str
    factor: Array | None = None
    unseen_error: float | None = None

    @property
    def invented(self) -> bool:
        """Whether no measurement of this jar stands behind its scattering."""
        return self.basis in ("one colour", "invented")

    @property
    def sure(self) -> bool:
        """Whether its own fit says how sure its curves are."""
        return self.basis == "fitted" and self.factor is not None

    @cached_property
    def scattering_at_bands(self) -> Array:
        """S at the 36 bands [1/m]."""
        return scattering_at_bands(self.scattering, self.power, value("colour/scattering_at"))

    def settled(self) -> JarOptics:
        """Return the same jar as if its curves were known: no draw departs from them."""
        return replace(self, factor=np.zeros((1, BANDS.size + 2)))

    def draws(self, n: int) -> tuple[Array, Array]:
        """Draw absorption and scattering together.

        Parameters
        ----------
        n : int
            How many. The same jar and number always give the same draws.

        Returns
        -------
        absorption, scattering : ndarray, shape (n, 36)
            [1/m]
        """
        factor = prior_rows(self.basis, self.power > 0) if self.factor is None else self.factor
        chance = np.stack([standard(f"jar {self.jar}: colour {r}", n) for r in range(factor.shape[0])], axis=1)
        shift = chance @ factor
        bands = BANDS.size
        with np.errstate(divide="ignore"):
            start = np.log(self.absorption / _PER_MM)
        absorption = np.exp(np.clip(start + shift[:, :bands], LEAST_LOG, MOST_LOG)) * _PER_MM
        spread = np.exp(np.clip(shift[:, bands], -MOST_LOG, MOST_LOG))
        power = np.clip(self.power + shift[:, bands + 1], 0.0, STEEPEST)
        return absorption, scattering_at_bands(self.scattering * spread, power, value("colour/scattering_at"))


@dataclass(frozen=True, eq=False)
class Archetype:
    """An invented curve to start from.

    Attributes
    ----------
    id, words : str
        Key; what a maker would call it.
    absorption : ndarray, shape (36,)
        K of diffuse light [1/m].
    scattering, power : float
        S at 550 nm [1/m], and the power it falls with.
    """

    id: str
    words: str
    absorption: Array
    scattering: float
    power: float


@lru_cache(maxsize=1)
def archetypes() -> dict[str, Archetype]:
    """Return every invented curve by key."""
    found = {}
    for row in rows("colour/archetypes_invented"):
        #: a diffuse path is twice as long as a straight one: K = 2 alpha
        absorption = 2 * np.array([float(row[name]) for name in COLUMNS]) * _PER_MM
        absorption.setflags(write=False)
        found[row["archetype"]] = Archetype(
            row["archetype"], row["words"], absorption, float(row["scattering"]) * _PER_MM, float(row["power"])
        )
    return found


@lru_cache(maxsize=64)
def of_archetype(key: str) -> JarOptics:
    """Return one invented curve as if it were a jar: for teaching and for tests.

    Parameters
    ----------
    key : str
        One of :func:`archetypes`.
    """
    found = archetypes()[key]
    kind: OpticalClass = "transparent" if found.scattering == 0 else "opal" if found.power > 0 else "opaque"
    return JarOptics(
        key, found.words, kind, found.absorption, found.scattering, found.power,
        value("colour/index/lead_free"), "invented", f"an invented curve, {found.words}",
    )  # fmt: skip


def optics_of(name: str, bench: Bench) -> JarOptics:
    """Return the colour of a jar of the bench, or of an invented curve by its own name.

    Parameters
    ----------
    name : str
        Id or name of a jar; a jar of that name wins over an invented curve.
    bench : Bench
        Where jars are looked up.

    Raises
    ------
    UnknownName
        When neither is known.
    OutOfReach
        When nothing tells the colour of the jar.
    """
    jar = bench.find_jar(name)
    if jar is not None:
        return of_jar(jar)
    key = _invented_names().get(name.strip().casefold())
    return of_jar(bench.jar(name)) if key is None else of_archetype(key)


def jar_for(name: str, bench: Bench) -> Jar:
    """Return a jar of the bench, or what the name of an invented curve tells of its glass.

    Parameters
    ----------
    name : str
        As for :func:`optics_of`.
    bench : Bench
        Where jars are looked up.

    Raises
    ------
    UnknownName
        When neither is known.
    """
    found = bench.find_jar(name)
    if found is not None:
        return found
    key = _invented_names().get(name.strip().casefold())
    return bench.jar(name) if key is None else _invented_jars()[key]


@lru_cache(maxsize=1)
def _invented_jars() -> dict[str, Jar]:
    """Return every invented curve as a jar: its kind, its family, and whether gold or cadmium gives its colour."""
    found = {}
    for row in rows("colour/archetypes_invented"):
        cadmium = HazardFacet(cadmium="yes") if row["coloured_by"] == "cadmium" else HazardFacet()
        found[row["archetype"]] = Jar.model_validate(
            {
                "id": row["archetype"], "name": row["words"], "kind": row["kind"], "hazards": cadmium,
                "gold_bearing": row["coloured_by"] == "gold", "synthetic": True,
                "optics": OpticsFacet.model_validate({"family": row["family"]}),
            }
        )  # fmt: skip
    return found


@lru_cache(maxsize=1)
def _invented_names() -> dict[str, str]:
    return {name: key for key, one in archetypes().items() for name in (key, one.words)}


def class_of(jar: Jar) -> OpticalClass:
    """Return how light passes a jar: clear, clouded or hardly."""
    return _CLASSES.get(jar.kind, "opaque")


def index_of(jar: Jar) -> float:
    """Return the refractive index of a jar, or what its lead makes likely."""
    if jar.optics.index is not None:
        return jar.optics.index
    lead: str = jar.hazards.lead
    if lead == "unknown" and jar.starter:
        lead = next((row["lead"] for row in rows("glass/classes") if row["id"] == jar.starter), lead)
    return value("colour/index/leaded" if lead == "yes" else "colour/index/lead_free")


@dataclass(frozen=True, eq=False)
class _Start:
    """Where a jar that nobody measured starts from."""

    absorption: Array
    like: Archetype
    words: str


#: Words of a name that tell how strong a colour is, with the fact that says by how much.
_SHADES = {"pale": "pale", "light": "pale", "deep": "deep", "dark": "deep"}


def _start(jar: Jar, kind: OpticalClass, family: str) -> _Start | None:
    """Return the invented curve of a kind and family; words of the jar's own name choose among them."""
    called = frozenset(re.findall(r"\w+", jar.name.casefold()))
    for row in rows("colour/starting_colours"):
        if (row["class"], row["family"]) == (kind, family) and (not row["word"] or row["word"] in called):
            break
    else:
        return None
    first = archetypes()[row["archetype"]]
    absorption, words = first.absorption * float(row["strength"]), first.words
    if row["with"]:
        other = archetypes()[row["with"]]
        absorption, words = absorption + other.absorption * float(row["with_strength"]), f"{words} with {other.words}"
    shade = next((fact for word, fact in _SHADES.items() if word in called), None)
    strength = value(f"colour/jar/{shade}") if shade is not None else 1.0
    return _Start(absorption * strength, archetypes()["opal_white"] if kind == "opal" else first, words)


def of_jar(jar: Jar) -> JarOptics:
    """Return the colour of a jar by the best that is known of it.

    A fit of the maker's own tiles comes first; then, for opaque glass, one measured colour as a marked stopgap;
    then an invented curve of its kind and colour family.

    Parameters
    ----------
    jar : Jar
        As described.

    Raises
    ------
    OutOfReach
        When not even a colour family is told.
    """
    facet, kind, index = jar.optics, class_of(jar), index_of(jar)
    if facet.absorption is not None:
        tiles = len(facet.fitted_from)
        enough = facet.unseen_tiles >= value("colour/uncertainty/residuals")
        origin = f"fitted from {tiles} tile{'' if tiles == 1 else 's'}" if tiles else "curves as described"
        basis: Basis = "fitted"
        if facet.covariance is None:
            basis, origin = "described", f"{origin}, without how sure that is"
        return JarOptics(
            jar.id, jar.name, kind, np.array(facet.absorption), facet.scattering or 0.0, facet.scattering_power or 0.0,
            index, basis, origin,
            None if facet.covariance is None else np.array(facet.covariance),
            facet.unseen_error if enough else None,
        )  # fmt: skip
    family = facet.family or ("clear" if jar.kind == "flux" else None)
    start = _start(jar, kind, family) if family else None
    if facet.lab is not None and kind == "opaque":
        return _of_one_colour(jar, facet.lab, index, start.like if start else archetypes()["opaque_white"])
    if start is None:
        raise OutOfReach(
            f"nothing tells what colour {jar.name} is.", "Say its colour family, or fit it from fired tiles."
        )
    return JarOptics(
        jar.id, jar.name, kind, start.absorption, start.like.scattering, start.like.power, index, "invented",
        f"an invented curve, {start.words}",
    )  # fmt: skip


def _of_one_colour(jar: Jar, lab: tuple[float, float, float], index: float, like: Archetype) -> JarOptics:
    """Take the ratio of absorption to scattering from the colour of a coat that hides; invent the scattering."""
    seen = seen_under("D65")
    spectrum = recovered_reflectance(xyz_of_lab(lab, seen.white), seen.weights).reflectance
    inside = np.clip(below_surface(spectrum, index), DARKEST, PALEST)
    ratio = (1 - inside) ** 2 / (2 * inside)
    return JarOptics(
        jar.id, jar.name, "opaque", ratio * like.scattering, like.scattering, 0.0, index, "one colour",
        "a stopgap from one colour; its hiding is invented",
    )  # fmt: skip

"""What is known of the glass in a jar: by composition, by data sheet, by class, or not at all.

The best-founded number of each kind wins (composition or data sheet over class over general
default); every number keeps its band. What a maker prints as an expansion is believed only when it
is possible and its kind is known.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Literal

from enamelwright import units
from enamelwright.craft.glass_model import (
    GlassEstimate,
    glass_from_composition,
    heavy_tailed,
    normal_figure,
)
from enamelwright.craft.jar import Jar, SheetExpansion
from enamelwright.errors import InputError, UnknownName
from enamelwright.figure import LADDER, Distribution, Figure, Normal, Origin, Spread
from enamelwright.reference import loader

ExpansionKind = Literal["linear", "cubical", "unknown"]
Basis = Literal[
    "measured", "measured, range unknown", "calculated from mole factors",
    "calculated from mole factors, Appen", "calculated from weight factors", "unknown",
]  # fmt: skip
Lead = Literal["yes", "no", "mixed", "unknown"]

#: 95 % point of the standard normal: turns a 5-95 % band into a standard deviation.
Z95 = 1.6448536269514722
_CUBICAL = 3.0  # a solid expands three times as much in volume as in length
_COMPARABLE = "expansion 20-300 C"


@dataclass(frozen=True)
class JarGlass:
    """The glass of one jar with the uncertainty of every number.

    Attributes
    ----------
    expansion : Figure
        Mean linear expansion of the glass, about 20-300 C [1/K].
    density : Figure
        Of the fused glass [kg/m3].
    young : Figure
        Young's modulus of the fused glass [Pa].
    isokom_12, isokom_6_6 : Figure
        Temperatures [K] at 10^12 Pa s (about Tg) and 10^6.6 Pa s (softening).
    firing_low, firing_high : Figure
        Ends of the range in which a short firing gives gloss [K].
    leaded : bool or None
        None when nobody knows.
    known_by : str
        ``composition``, ``data sheet``, ``class`` or ``nothing``.
    cautions : tuple of str
        What to know about the numbers, one sentence each.
    factors : mapping of str to Distribution
        Uncertain factors by bare name: ``expansion``, ``isokom 12``, ``isokom 6.6``, ``density``,
        ``young``, in SI.
    """

    expansion: Figure
    density: Figure
    young: Figure
    isokom_12: Figure
    isokom_6_6: Figure
    firing_low: Figure
    firing_high: Figure
    leaded: bool | None
    known_by: str
    cautions: tuple[str, ...] = ()
    factors: Mapping[str, Distribution] = field(default_factory=dict)

    def spread(self, jar: str) -> Spread:
        """Return its factors named for a jar, expansion and T12 moving together.

        Parameters
        ----------
        jar : str
            Name that distinguishes the jar, e.g. its id.
        """
        named = {f"jar {jar}: {name}": law for name, law in self.factors.items()}
        key = "leaded" if self.leaded else "lead_free"
        rho = loader.value(f"glass/expansion_with_isokom_{key}")
        return Spread(named, {(f"jar {jar}: expansion", f"jar {jar}: isokom 12"): rho})


@dataclass(frozen=True)
class SheetNumber:
    """A number of a data sheet turned into a figure, and what was done to it.

    Attributes
    ----------
    figure : Figure
        Linear expansion [1/K].
    sd : float
        One standard deviation [1/K].
    caution : str
        What was done or doubted; empty when nothing.
    """

    figure: Figure
    sd: float
    caution: str = ""


def expansion_from_sheet(
    value: float,
    kind: ExpansionKind,
    unit: str = "1/K",
    basis: Basis = "unknown",
    low: float | None = None,
    high: float | None = None,
) -> SheetNumber:
    """Turn a printed expansion into a linear one with its uncertainty.

    Parameters
    ----------
    value : float
        As printed.
    kind : str
        ``linear``, ``cubical`` (volume, three times linear) or ``unknown``.
    unit : str
        A unit of expansion; SI by default.
    basis : str
        How it was come by. A measured value is known to 0.3 ppm/K with its range, 0.5 without; one
        calculated with old weight factors reads about 1 ppm/K low.
    low, high : float, optional
        Temperature range [K] of a measurement.

    Raises
    ------
    InputError
        When the kind is unknown, or the number is impossible for its kind. A value that only a
        cubical expansion can have is never taken as linear.
    """
    number = units.to_si(value, unit, "expansion")
    shown = f"{units.from_si(number, 'e-7/K', 'expansion'):.0f}e-7/K"
    lowest, highest = (
        loader.value(f"trade/expansion_{end}") for end in ("linear_lowest", "cubical_from")
    )
    if kind == "unknown":
        raise InputError(
            f"the expansion {shown} is neither called linear nor cubical.",
            "Say which; the data sheet or the supplier knows. Until then the number is not used.",
        )
    if kind == "linear" and number >= highest:
        raise InputError(
            f"{shown} cannot be a linear expansion of an enamel.",
            f"It looks cubical, which would be {number / _CUBICAL * 1e6:.1f} ppm/K linear: say cubical."
            if number <= loader.value("trade/expansion_cubical_to")
            else "Check the number and its unit.",
        )
    linear = number / _CUBICAL if kind == "cubical" else number
    if not lowest <= linear < highest:
        raise InputError(
            f"{shown} {kind} cannot be the expansion of an enamel.",
            "It looks linear: check the kind." if kind == "cubical" and number < highest else "Check the unit.",
        )
    if basis == "measured" and (low is None or high is None):
        basis = "measured, range unknown"
    row = _basis(basis)
    add = units.to_si(float(row["add"]), row["unit"], "expansion")
    sd = units.to_si(float(row["sd"]), row["unit"], "expansion")
    caution = ""
    if basis == "unknown":
        caution = "How the expansion was come by is unknown: its band is wide."
    elif row["note"]:
        caution = f"The expansion was {basis}: such numbers are shifted by {add * 1e6:+.1f} ppm/K here."
    origin = Origin(kind="data sheet", source=basis, status=row["status"])
    return SheetNumber(normal_figure(linear + add, sd, "expansion", origin), sd, caution)


def _basis(name: str) -> loader.Row:
    return next(row for row in loader.rows("glass/expansion_basis") if row["basis"] == name)


@dataclass(frozen=True)
class FuseEstimate:
    """Viscosity points read from a printed firing range.

    Attributes
    ----------
    isokom_3_5, isokom_12, isokom_6_6 : Figure
        Temperatures [K].
    sd : mapping of str to float
        One standard deviation of each [K].
    """

    isokom_3_5: Figure
    isokom_12: Figure
    isokom_6_6: Figure
    sd: Mapping[str, float]


def points_from_fuse_range(low: float, high: float, window: str) -> FuseEstimate:
    """Guess viscosity points from a firing range; a short gloss firing is near 10^3.5 Pa s.

    Parameters
    ----------
    low, high : float
        Printed range [K].
    window : str
        ``leaded``, ``lead_free`` or ``titania``.

    Raises
    ------
    InputError
        When the range runs backwards.
    """
    if not low <= high:
        raise InputError("a firing range runs from the lower to the higher temperature.")
    middle = (low + high) / 2
    sd = {"isokom_3_5": ((high - low) ** 2 / 4 + loader.value("glass/fuse_range_sd") ** 2) ** 0.5}
    centre = {"isokom_3_5": middle}
    for wanted, label in (("isokom_12", "isokom_12"), ("isokom_4", "isokom_4"), ("isokom_6.6", "isokom_6_6")):
        row = next(
            row
            for row in loader.rows("glass/fuse_offsets")
            if row["window"] == window and row["wanted"] == wanted
        )
        known = row["known"].replace("isokom_3.5", "isokom_3_5")
        centre[label] = centre[known] + float(row["offset"])
        sd[label] = (sd[known] ** 2 + float(row["sd"]) ** 2) ** 0.5
    origin = Origin(kind="data sheet", source="firing range", status="computed")
    figures = {
        name: normal_figure(centre[name], sd[name], "temperature", origin)
        for name in ("isokom_3_5", "isokom_12", "isokom_6_6")
    }
    return FuseEstimate(**figures, sd=sd)


@lru_cache(maxsize=None)
def class_glass(name: str) -> JarGlass:
    """Return the glass of a generic class; ranges by judgement.

    Raises
    ------
    UnknownName
        When there is no such class.
    """
    classes = {row["id"]: row for row in loader.rows("glass/classes")}
    if name not in classes:
        raise UnknownName.among("class of enamel", name, classes)
    found: dict[str, Figure] = {}
    for row in loader.rows("glass/starter_jars"):
        if row["class"] == name:
            value, low, high = (
                units.to_si(float(row[end]), row["unit"], row["dimension"]) for end in ("value", "low", "high")
            )
            origin = Origin(kind="class default", source=f"class {name}", status=row["status"])
            found[row["quantity"]] = Figure(
                value=value, low=low, high=high, dimension=row["dimension"], origin=origin
            )
    alpha, rho, young = found["expansion"].value, found["density"].value, found["young"].value
    spread_k = loader.value("glass/isokom_class_sd")
    gloss = found["gloss_firing"]
    return _assembled(
        found["expansion"],
        found["density"],
        found["young"],
        found["isokom_12"],
        found["isokom_6.6"],
        gloss,
        leaded=classes[name]["lead"] == "yes",
        known_by="class",
        factors={
            "expansion": Normal(mean=alpha, sd=loader.value("glass/expansion_class_sd")),
            "density": Normal(mean=rho, sd=rho * loader.value("glass/density_class_sd")),
            "young": Normal(mean=young, sd=loader.value("glass/young_sd")),
            "isokom 12": Normal(mean=found["isokom_12"].value, sd=spread_k),
            "isokom 6.6": Normal(mean=found["isokom_6.6"].value, sd=spread_k),
        },
    )


def _assembled(
    expansion: Figure,
    density: Figure,
    young: Figure,
    isokom_12: Figure,
    isokom_6_6: Figure,
    gloss: Figure,
    *,
    leaded: bool | None,
    known_by: str,
    factors: Mapping[str, Distribution],
    cautions: tuple[str, ...] = (),
) -> JarGlass:
    """Build a JarGlass, taking the ends of a gloss figure as the firing range."""
    low, high = (
        Figure.exact(end, "temperature", gloss.origin) for end in (gloss.low, gloss.high)
    )
    return JarGlass(
        expansion, density, young, isokom_12, isokom_6_6, low, high, leaded, known_by, cautions, factors
    )


@lru_cache(maxsize=8)
def unknown_glass(lead: Lead = "unknown") -> JarGlass:
    """Return what can be said of an enamel nobody has described."""
    expansion = loader.fact("glass/expansion").figure()
    young = loader.fact("glass/young").figure()
    isokom_12 = loader.fact("glass/isokom_12").figure()
    isokom_6_6 = loader.fact("glass/isokom_6_6").figure()
    heavy = loader.fact("trade/density_leaded").figure()
    light = loader.fact("trade/density_lead_free").figure()
    if lead in {"yes", "no"}:
        density = heavy if lead == "yes" else light
    else:
        density = Figure(
            value=(heavy.value + light.value) / 2,
            low=light.low,
            high=heavy.high,
            dimension="density",
            origin=light.origin,
        )
    return _assembled(
        expansion,
        density,
        young,
        isokom_12,
        isokom_6_6,
        loader.fact("heat/top_temperature").figure(),
        leaded={"yes": True, "no": False}.get(lead),
        known_by="nothing",
        factors={
            "expansion": _normal(expansion),
            "density": _normal(density),
            "young": _normal(young),
            "isokom 12": _normal(isokom_12),
            "isokom 6.6": _normal(isokom_6_6),
        },
        cautions=("Nothing is known of this enamel: every number of its glass is a wide default.",),
    )


def _normal(figure: Figure) -> Normal:
    return Normal(mean=figure.value, sd=(figure.high - figure.low) / (2 * Z95))


def _from_composition(base: JarGlass, estimate: GlassEstimate) -> JarGlass:
    """Return `base` with the models' numbers in place of its own."""
    cautions = tuple(f"Composition model, {words}." for words in estimate.flags)
    gloss = estimate.isokom_3_5
    firing = {"firing_low": base.firing_low, "firing_high": base.firing_high}
    if gloss is not None:
        sd = estimate.sd["isokom_3_5"]
        firing = {
            "firing_low": Figure.exact(gloss.value - sd, "temperature", gloss.origin),
            "firing_high": Figure.exact(gloss.value + sd, "temperature", gloss.origin),
        }
    return replace(
        base,
        expansion=estimate.expansion,
        density=estimate.density,
        young=estimate.young,
        isokom_12=estimate.isokom_12,
        isokom_6_6=estimate.isokom_6_6,
        leaded=estimate.leaded,
        known_by="composition",
        cautions=cautions,
        factors={
            "expansion": heavy_tailed(estimate.expansion.value, estimate.sd["expansion"]),
            "density": Normal(mean=estimate.density.value, sd=estimate.sd["density"]),
            "young": heavy_tailed(estimate.young.value, estimate.sd["young"]),
            "isokom 12": heavy_tailed(estimate.isokom_12.value, estimate.sd["isokom_12"]),
            "isokom 6.6": heavy_tailed(estimate.isokom_6_6.value, estimate.sd["isokom_6_6"]),
        },
        **firing,
    )


def _with(base: JarGlass, name: str, figure: Figure, sd: float, known_by: str = "data sheet") -> JarGlass:
    """Return `base` with one figure replaced, and its factor with it."""
    factors = {**base.factors, name.replace("isokom_6_6", "isokom 6.6").replace("_", " "): Normal(
        mean=figure.value, sd=sd)}  # fmt: skip
    changed = {name: figure, "factors": factors, "known_by": known_by}
    return replace(base, **changed)  # type: ignore[arg-type]


def jar_glass(
    *,
    composition: Mapping[str, float] | None = None,
    expansion: SheetNumber | None = None,
    density: float | None = None,
    young: float | None = None,
    transformation: float | None = None,
    softening: float | None = None,
    fuse_low: float | None = None,
    fuse_high: float | None = None,
    starter: str = "",
    lead: Lead = "unknown",
    opaque: bool = False,
) -> JarGlass:
    """Join everything known of one jar.

    A number printed on a data sheet wins over one computed from the composition, that over the
    class, and that over the general default.

    Parameters
    ----------
    composition : mapping of str to float, optional
        Oxides in weight per cent.
    expansion : SheetNumber, optional
        From :func:`expansion_from_sheet`.
    density, young, transformation, softening : float, optional
        From a data sheet [kg/m3, Pa, K, K].
    fuse_low, fuse_high : float, optional
        Printed firing range [K]; one end alone stands for both.
    starter : str
        Class that fills the gaps; empty for none.
    lead : str
        ``yes``, ``no``, ``mixed`` or ``unknown``.
    opaque : bool
        Chooses the window of lead-free opaque glasses for a firing range.

    Raises
    ------
    InputError
        When a number is impossible.
    UnknownName
        When the class is unknown.
    """
    glass = class_glass(starter) if starter else unknown_glass(lead)
    if lead in {"yes", "no"} and not starter:
        glass = replace(glass, leaded=lead == "yes")
    if fuse_low is not None or fuse_high is not None:
        low = fuse_low if fuse_low is not None else fuse_high
        high = fuse_high if fuse_high is not None else fuse_low
        assert low is not None and high is not None  # one of them was given
        glass = _with_fuse_range(glass, low, high, opaque)
    if composition:
        glass = _from_composition(glass, glass_from_composition(composition))
        if fuse_low is not None or fuse_high is not None:
            glass = _fired(glass, low, high)
    sheet = Origin(kind="data sheet", source="as printed", status="data sheet")
    stated_sd = loader.value("glass/stated_point_sd")
    if transformation is not None and softening is not None and softening <= transformation:
        raise InputError("the softening point must lie above the transformation temperature.")
    if transformation is not None:
        figure = normal_figure(transformation, stated_sd, "temperature", sheet)
        glass = _with(glass, "isokom_12", figure, stated_sd)
        if softening is None and not composition:
            above = loader.value("glass/softening_above_12")
            glass = _with(
                glass,
                "isokom_6_6",
                normal_figure(transformation + above, loader.value("glass/isokom_class_sd"), "temperature", sheet),
                loader.value("glass/isokom_class_sd"),
            )
    if softening is not None:
        glass = _with(
            glass, "isokom_6_6", normal_figure(softening, stated_sd, "temperature", sheet), stated_sd
        )
    if density is not None:
        glass = _with(glass, "density", Figure.exact(density, "density", sheet), 0.0)
    if young is not None:
        sd = loader.value("glass/young_sd")
        glass = _with(glass, "young", normal_figure(young, sd, "stress", sheet), sd)
    if expansion is not None:
        glass = _with(glass, "expansion", expansion.figure, expansion.sd)
        if expansion.caution:
            glass = replace(glass, cautions=(*glass.cautions, expansion.caution))
    return _in_order(glass)


def _fired(glass: JarGlass, low: float, high: float) -> JarGlass:
    origin = Origin(kind="data sheet", source="firing range", status="data sheet")
    return replace(
        glass,
        firing_low=Figure.exact(low, "temperature", origin),
        firing_high=Figure.exact(high, "temperature", origin),
    )


def _with_fuse_range(glass: JarGlass, low: float, high: float, opaque: bool) -> JarGlass:
    """Use a printed firing range; a class already knows its isokoms better than a range does."""
    fired = _fired(glass, low, high)
    if glass.known_by == "class":
        return replace(fired, known_by="data sheet")
    window = "leaded" if glass.leaded or glass.leaded is None else "titania" if opaque else "lead_free"
    points = points_from_fuse_range(low, high, window)
    for name in ("isokom_12", "isokom_6_6"):
        fired = _with(fired, name, getattr(points, name), points.sd[name])
    return fired


def _in_order(glass: JarGlass) -> JarGlass:
    """Keep softening above setting when they come from different places."""
    above = loader.value("glass/softening_above_12")
    if glass.isokom_6_6.value > glass.isokom_12.value:
        return glass
    # The worse-founded of the two is moved: a rung further down the ladder.
    rung = {kind: place for place, kind in enumerate(LADDER)}
    if rung[glass.isokom_12.origin.kind] > rung[glass.isokom_6_6.origin.kind]:
        name, centre = "isokom_12", glass.isokom_6_6.value - above
    else:
        name, centre = "isokom_6_6", glass.isokom_12.value + above
    sd = loader.value("glass/isokom_class_sd")
    origin = Origin(kind="assumption", source="usual distance of setting and softening", status="assumption")
    moved = _with(glass, name, normal_figure(centre, sd, "temperature", origin), sd, glass.known_by)
    words = "Setting and softening point contradict each other: one was replaced by the usual distance."
    return replace(moved, cautions=(*moved.cautions, words))


def glass_of(jar: Jar) -> JarGlass:
    """Return what is known of the glass of a described jar.

    An expansion whose kind is unknown is not used; the jar's class or the wide default stands in
    and a caution says so.

    Parameters
    ----------
    jar : Jar
        As described.

    Raises
    ------
    InputError
        When a number on the jar is impossible.
    """
    sheet = jar.glass.expansion
    number: SheetNumber | None = None
    ignored: tuple[str, ...] = ()
    if sheet is not None:
        number, ignored = _read(sheet)
    found = jar_glass(
        composition=jar.glass.composition,
        expansion=number,
        density=jar.glass.density,
        young=jar.glass.young,
        transformation=jar.glass.transformation,
        softening=jar.glass.softening,
        fuse_low=jar.fusing.low,
        fuse_high=jar.fusing.high,
        starter=jar.starter,
        lead=jar.hazards.lead,
        opaque=jar.kind in {"opaque", "liquid", "ground"},
    )
    return replace(found, cautions=(*found.cautions, *ignored))


def _read(sheet: SheetExpansion) -> tuple[SheetNumber | None, tuple[str, ...]]:
    if sheet.kind != "unknown":
        return expansion_from_sheet(sheet.value, sheet.kind, "1/K", sheet.basis, sheet.low, sheet.high), ()
    wide = loader.fact("glass/expansion_unknown")
    sd = (wide.high - wide.low) / (2 * Z95)
    words = (
        "The expansion on the data sheet is called neither linear nor cubical, so it is not used: ask the supplier."
    )
    return SheetNumber(wide.figure(), sd, words), ()

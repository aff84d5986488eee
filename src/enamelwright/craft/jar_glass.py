"""What is known of the glass in a jar: by composition, by data sheet, by class, or not at all.

The best-founded number of each kind wins: printed on a data sheet, then computed from a
composition, then the class, then what measured glasses of that family show, then a wide default.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from typing import Literal

from enamelwright import units
from enamelwright.craft.data_sheet import SheetNumber, points_from_fuse_range
from enamelwright.craft.glass_model import (
    GlassEstimate,
    glass_from_composition,
    heavy_tailed,
    normal_figure,
)
from enamelwright.errors import InputError, UnknownName
from enamelwright.figure import Distribution, Figure, Kind, Normal, Origin, Spread, StudentT
from enamelwright.reference import loader

Lead = Literal["yes", "no", "mixed", "unknown"]

#: Names of the figures that also are uncertain factors, as attribute and as factor.
FACTORS: Mapping[str, str] = {
    "expansion": "expansion",
    "density": "density",
    "young": "young",
    "isokom_12": "isokom 12",
    "isokom_6_6": "isokom 6.6",
}
#: Window of measured glasses that stands for a family of enamels nobody described further.
_WINDOWS: Mapping[str, str] = {
    "yes": "leaded_cte_10_13.5",
    "no": "lead_free_borosilicate_cte_10_13.5",
}
_P10_P90 = 2.5631031310892007  # distance of the 10 and 90 % points of a normal, in standard deviations


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


@cache
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
            found[row["quantity"]] = Figure(value=value, low=low, high=high, dimension=row["dimension"], origin=origin)
    figures = {key: found[key.replace("6_6", "6.6")] for key in FACTORS}
    sd = {
        "expansion": loader.value("glass/expansion_class_sd"),
        "density": found["density"].value * loader.value("glass/density_class_sd"),
        "young": loader.value("glass/young_sd"),
        "isokom_12": loader.value("glass/isokom_class_sd"),
        "isokom_6_6": loader.value("glass/isokom_class_sd"),
    }
    gloss = found["gloss_firing"]
    return _assembled(figures, sd, gloss, classes[name]["lead"] == "yes", "class")


@lru_cache(maxsize=8)
def unknown_glass(lead: Lead = "unknown") -> JarGlass:
    """Return what can be said of an enamel nobody has described.

    Whether it is leaded narrows density, modulus and setting to what measured glasses of that
    family and of a fitting expansion show.
    """
    figures = {key: loader.fact(f"glass/{key}").figure() for key in FACTORS if key != "density"}
    heavy, light = (loader.fact(f"trade/density_{kind}").figure() for kind in ("leaded", "lead_free"))
    if lead in _WINDOWS:
        figures["density"] = heavy if lead == "yes" else light
        for key, quantity in (("isokom_12", "T_1e12"), ("isokom_6_6", "T_1e6_6"), ("young", "youngs_modulus_measured")):
            figures[key] = _window(lead, quantity, "temperature" if key != "young" else "stress")
    else:
        figures["density"] = Figure(
            value=(heavy.value + light.value) / 2,
            low=light.low,
            high=heavy.high,
            dimension="density",
            origin=light.origin,
        )
    gloss = loader.fact("heat/top_temperature").figure()
    sd = {key: figure.sd for key, figure in figures.items()}
    return _assembled(figures, sd, gloss, {"yes": True, "no": False}.get(lead), "nothing")


def _assembled(
    figures: Mapping[str, Figure], sd: Mapping[str, float], gloss: Figure, leaded: bool | None, known_by: str
) -> JarGlass:
    """Build a JarGlass from its five figures; the band of `gloss` is the firing range."""
    return JarGlass(
        expansion=figures["expansion"],
        density=figures["density"],
        young=figures["young"],
        isokom_12=figures["isokom_12"],
        isokom_6_6=figures["isokom_6_6"],
        firing_low=Figure.exact(gloss.low, "temperature", gloss.origin),
        firing_high=Figure.exact(gloss.high, "temperature", gloss.origin),
        leaded=leaded,
        known_by=known_by,
        factors={FACTORS[key]: Normal(mean=figure.value, sd=sd[key]) for key, figure in figures.items()},
    )


def _window(lead: str, quantity: str, dimension: str) -> Figure:
    """Return one quantity of the measured glasses of a family."""
    row = next(
        row for row in loader.rows("glass/windows") if row["window"] == _WINDOWS[lead] and row["quantity"] == quantity
    )
    low, middle, high = (units.to_si(float(row[key]), row["unit"], dimension) for key in ("p10", "median", "p90"))
    origin = Origin(kind="reference", source=f"window {row['window']} [{row['source']}]", status=row["status"])
    return normal_figure(middle, (high - low) / _P10_P90, dimension, origin)


def _with(base: JarGlass, name: str, figure: Figure, sd: float, known_by: str = "data sheet") -> JarGlass:
    """Return `base` with one figure replaced, and its factor with it."""
    factors = {**base.factors, FACTORS[name]: Normal(mean=figure.value, sd=sd)}
    changed = {name: figure, "factors": factors, "known_by": known_by}
    return replace(base, **changed)  # type: ignore[arg-type]


def _refined(base: JarGlass, name: str, value: float, sd: float, kind: Kind = "data sheet") -> JarGlass:
    """Return `base` with independent news about one temperature weighed against what it knew."""
    before, law = getattr(base, name), base.factors[FACTORS[name]]
    before_sd = law.sd if isinstance(law, Normal) else before.sd
    share = before_sd**2 / (before_sd**2 + sd**2)
    centre = before.value + share * (value - before.value)
    both = before_sd * (1 - share) ** 0.5
    known_by = base.known_by if kind == "computed" else kind
    origin = Origin(kind=kind, source=f"{kind}, weighed against {before.origin.words()}", status="computed")
    return _with(base, name, normal_figure(centre, both, "temperature", origin), both, known_by)


def _from_composition(base: JarGlass, estimate: GlassEstimate) -> JarGlass:
    """Return `base` with the models' numbers in place of its own."""
    firing = {}
    if estimate.isokom_3_5 is not None:
        gloss, sd = estimate.isokom_3_5, estimate.sd["isokom_3_5"]
        firing = {
            "firing_low": Figure.exact(gloss.value - sd, "temperature", gloss.origin),
            "firing_high": Figure.exact(gloss.value + sd, "temperature", gloss.origin),
        }
    figures = {key: getattr(estimate, key) for key in FACTORS}
    factors: dict[str, Normal | StudentT] = {
        FACTORS[key]: heavy_tailed(figure.value, estimate.sd[key]) for key, figure in figures.items()
    }
    factors["density"] = Normal(mean=estimate.density.value, sd=estimate.sd["density"])
    glass = replace(
        base,
        **figures,
        **firing,
        leaded=estimate.leaded,
        known_by="composition",
        cautions=tuple(f"Composition model, {words}." for words in estimate.flags),
        factors=factors,
    )
    if estimate.leaded:  # on leaded glasses the viscosity model alone tells Tg best
        return glass
    # On lead-free ones the regression of Tg is a second, about equally good witness of T12.
    tg, sd = estimate.transformation.value, estimate.sd["transformation"]
    return _refined(glass, "isokom_12", tg, sd, "computed")


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

    Parameters
    ----------
    composition : mapping of str to float, optional
        Oxides in weight per cent.
    expansion : SheetNumber, optional
        From :func:`enamelwright.craft.data_sheet.expansion_from_sheet`.
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
    if transformation is not None and softening is not None and softening <= transformation:
        raise InputError("the softening point must lie above the transformation temperature.")
    glass = class_glass(starter) if starter else unknown_glass(lead)
    if composition:
        glass = _from_composition(glass, glass_from_composition(composition))
    ends = [end for end in (fuse_low, fuse_high) if end is not None]
    if ends:
        glass = _with_fuse_range(glass, ends[0], ends[-1], opaque)
    glass = _with_points(glass, transformation, softening)
    sheet = Origin(kind="data sheet", source="as printed", status="data sheet")
    if density is not None:
        sd = density * loader.value("glass/density_sheet_sd")
        glass = _with(glass, "density", normal_figure(density, sd, "density", sheet), sd)
    if young is not None:
        sd = loader.value("glass/young_sd")
        glass = _with(glass, "young", normal_figure(young, sd, "stress", sheet), sd)
    if expansion is not None:
        glass = _with(glass, "expansion", expansion.figure, expansion.sd)
        if expansion.caution:
            glass = replace(glass, cautions=(*glass.cautions, expansion.caution))
    return _told(_in_order(glass))


def _with_fuse_range(glass: JarGlass, low: float, high: float, opaque: bool) -> JarGlass:
    """Use a printed firing range; a composition tells the isokoms better than a range does."""
    window = "leaded" if glass.leaded is not False else "titania" if opaque else "lead_free"
    points = points_from_fuse_range(low, high, window)
    origin = Origin(kind="data sheet", source="firing range", status="data sheet")
    if glass.known_by != "composition":
        for name in ("isokom_12", "isokom_6_6"):
            glass = _refined(glass, name, getattr(points, name).value, points.sd[name])
    return replace(
        glass,
        firing_low=Figure.exact(low, "temperature", origin),
        firing_high=Figure.exact(high, "temperature", origin),
    )


def _with_points(glass: JarGlass, transformation: float | None, softening: float | None) -> JarGlass:
    """Use a printed transformation temperature or softening point; one tells of the other."""
    sheet = Origin(kind="data sheet", source="as printed", status="data sheet")
    stated = loader.value("glass/stated_point_sd")
    above, above_sd = _softening_above(glass)
    for name, value in (("isokom_12", transformation), ("isokom_6_6", softening)):
        if value is not None:
            glass = _with(glass, name, normal_figure(value, stated, "temperature", sheet), stated)
    sd = (above_sd**2 + stated**2) ** 0.5
    if transformation is not None and softening is None:
        glass = _refined(glass, "isokom_6_6", transformation + above, sd)
    if softening is not None and transformation is None:
        glass = _refined(glass, "isokom_12", softening - above, sd)
    return glass


def _softening_above(glass: JarGlass) -> tuple[float, float]:
    """Return how far softening lies above setting [K], and one standard deviation."""
    if glass.leaded is None:
        usual = loader.fact("glass/softening_above_12").figure()
    else:
        usual = _window("yes" if glass.leaded else "no", "T6_6_minus_T12", "temperature_difference")
    return usual.value, usual.sd


def _in_order(glass: JarGlass) -> JarGlass:
    """Keep softening above setting when they come from different places: the less known one moves."""
    if glass.isokom_6_6.value > glass.isokom_12.value:
        return glass
    above, sd = _softening_above(glass)
    if glass.isokom_12.sd > glass.isokom_6_6.sd:
        name, centre = "isokom_12", glass.isokom_6_6.value - above
    else:
        name, centre = "isokom_6_6", glass.isokom_12.value + above
    origin = Origin(kind="assumption", source="usual distance of setting and softening", status="assumption")
    moved = _with(glass, name, normal_figure(centre, sd, "temperature", origin), sd, glass.known_by)
    words = "Setting and softening point contradict each other: one was replaced by the usual distance."
    return replace(moved, cautions=(*moved.cautions, words))


def _told(glass: JarGlass) -> JarGlass:
    """Add which numbers nobody gave."""
    if glass.known_by == "nothing":
        words = "Nothing is known of this enamel: every number of its glass is a wide default."
        return replace(glass, cautions=(*glass.cautions, words))
    names = {"expansion": "expansion", "isokom_12": "setting temperature"}
    if any("expansion" in words for words in glass.cautions):  # said already, and why
        del names["expansion"]
    missing = [said for key, said in names.items() if getattr(glass, key).origin.kind in {"reference", "assumption"}]
    if not missing:
        return glass
    return replace(glass, cautions=(*glass.cautions, f"Not told and taken as a wide default: {', '.join(missing)}."))

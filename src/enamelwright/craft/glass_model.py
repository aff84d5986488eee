"""Estimate a glass from its composition: the reference coefficients joined to the physics models."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from enamelwright import units
from enamelwright.errors import HouseError, InputError
from enamelwright.figure import Z95, Figure, Normal, Origin, StudentT
from enamelwright.physics.composition import CompositionPolynomial, Range, mole_percent, normalised
from enamelwright.physics.glass_density import density
from enamelwright.physics.glass_regression import GlassGroup, Regression, Scatter, scatter_of
from enamelwright.physics.glass_viscosity import AdditiveLaw, IsokomModel, isokoms
from enamelwright.physics.viscosity import VftViscosity
from enamelwright.reference import loader

#: 95 % point of Student's t with 3 degrees of freedom.
T95_OF_3 = 2.3533634348018273
_HEAVY = 3.0  # degrees of freedom of the scatter of composition models
_PROPERTIES = {
    "expansion_20_300": ("ppm/K", "expansion"),
    "refractive_index_nd": ("1", "ratio"),
    "youngs_modulus": ("GPa", "stress"),
    "transformation_temperature": ("K", "temperature"),
}


def heavy_tailed(mean: float, sd: float) -> StudentT:
    """Return the distribution of a composition model's error: most are close, a few are far off."""
    return StudentT(mean=mean, scale=sd / loader.value("glass/heavy_tail_scale"), freedom=_HEAVY)


def heavy_figure(mean: float, sd: float, dimension: str, origin: Origin) -> Figure:
    """Return value and 5-95 % band of a heavy-tailed error."""
    half = T95_OF_3 * sd / loader.value("glass/heavy_tail_scale")
    return Figure(value=mean, low=mean - half, high=mean + half, dimension=dimension, origin=origin)


def normal_figure(mean: float, sd: float, dimension: str, origin: Origin) -> Figure:
    """Return value and 5-95 % band of a normal error."""
    return Figure(value=mean, low=mean - Z95 * sd, high=mean + Z95 * sd, dimension=dimension, origin=origin)


@lru_cache(maxsize=1)
def molar_masses() -> Mapping[str, float]:
    """Return molar masses of the known components [g/mol]."""
    return {row["component"]: float(row["molar_mass_g_per_mol"]) for row in loader.rows("glass/molar_masses")}


def read_components(composition: Mapping[str, float]) -> dict[str, float]:
    """Return a composition with the components spelled as the tables spell them.

    Raises
    ------
    InputError
        For an unknown component or one given twice.
    """
    spelled = {name.lower(): name for name in molar_masses()}
    result: dict[str, float] = {}
    for given, amount in composition.items():
        name = spelled.get(given.strip().lower())
        if name is None:
            raise InputError(
                f"'{given[:20]}' is not a component the glass models know.",
                "Use oxides such as SiO2, PbO, Na2O, or F.",
            )
        if name in result:
            raise InputError(f"{name} is listed twice.")
        result[name] = float(amount)
    return result


@lru_cache(maxsize=1)
def _groups() -> Mapping[str, GlassGroup]:
    def limits(text: str) -> tuple[tuple[str, float], ...]:
        pairs = (part.split() for part in text.split("|") if part)
        return tuple((name, float(amount)) for name, amount in pairs)

    return {
        row["group"]: GlassGroup(row["group"], limits(row["above"]), limits(row["absent"]))
        for row in loader.rows("glass/groups")
    }


@cache
def scatter(quantity: str) -> tuple[Scatter, ...]:
    """Return how far the model of one quantity was off, in SI, by group of glasses."""
    found = []
    for row in loader.rows("glass/model_scatter"):
        if row["property"] != quantity or row["glasses"] not in _groups():
            continue
        unit, dimension = row["unit"], _dimension(quantity)
        sd = units.to_si(float(row["sd"]), unit, dimension)
        bias = units.to_si(float(row["bias"] or 0), unit, dimension)
        found.append(Scatter(_groups()[row["glasses"]], sd, bias))
    if not found:
        raise HouseError(f"no table says how far the model of '{quantity}' is off.")
    return tuple(found)


def _dimension(quantity: str) -> str:
    if quantity.startswith("isokom") or quantity == "transformation_temperature":
        return "temperature_difference"
    return "density" if quantity == "density" else _PROPERTIES[quantity][1]


@cache
def regression(quantity: str) -> Regression:
    """Return one regression, in SI.

    Parameters
    ----------
    quantity : str
        ``expansion_20_300``, ``refractive_index_nd``, ``youngs_modulus`` or
        ``transformation_temperature``.
    """
    unit, dimension = _PROPERTIES[quantity]
    scale = units.to_si(1.0, unit, dimension)
    used = [
        row
        for row in loader.rows("glass/regression_coefficients")
        if row["property"] == quantity and row["use"] == "yes"
    ]
    selection = loader.document("glass/regression_meta")["selection"]
    domain = [Range(name, *ends) for name, ends in selection["mol_percent"].items()]
    domain.append(Range("R2O", *selection["alkali_mol_percent"][quantity]))
    single = [row for row in used if row["term"] in molar_masses()]
    return Regression(
        CompositionPolynomial.of_rows([(row["term"], float(row["coefficient"]) * scale) for row in used]),
        tuple(domain),
        tuple(Range(row["term"], 0.0, float(row["largest_value_in_data"])) for row in single),
        scatter(quantity),
    )


@lru_cache(maxsize=1)
def isokom_models() -> tuple[IsokomModel, ...]:
    """Return the three isokom models of Fluegel 2007."""
    table = loader.rows("glass/fluegel2007_viscosity")
    zero = units.to_si(0.0, "°C", "temperature")
    models = []
    for level in dict.fromkeys(row["level_log10_pa_s"] for row in table):
        rows = [row for row in table if row["level_log10_pa_s"] == level]
        models.append(
            IsokomModel(
                float(level),
                CompositionPolynomial.of_rows(
                    [(row["term"], float(row["coefficient"])) for row in rows if row["use"] == "ok"]
                ),
                zero,
                _ranges(f"{float(level):g}"),
                frozenset(row["term"] for row in rows if row["use"] != "ok"),
            )
        )
    return tuple(models)


def _ranges(level: str) -> tuple[Range, ...]:
    ends: dict[str, list[float]] = {}
    for row in loader.rows("glass/fluegel2007_viscosity_limits"):
        pair = ends.setdefault(row["component"], [0.0, 0.0])
        pair[row["bound"] == "max"] = float(row[f"mol_percent_at_{level}"])
    return tuple(Range(name, low, high) for name, (low, high) in ends.items())


@lru_cache(maxsize=1)
def density_model() -> CompositionPolynomial:
    """Return the density model of Fluegel 2007, in SI."""
    scale = units.to_si(1.0, "g/cm3", "density")
    return CompositionPolynomial.of_rows(
        [(row["term"], float(row["coefficient"]) * scale) for row in loader.rows("glass/fluegel2007_density")]
    )


@lru_cache(maxsize=1)
def lakatos_model() -> AdditiveLaw:
    """Return the additive viscosity law of Lakatos and co-workers, for soda-lime glasses."""
    tables: dict[str, dict[str, float]] = {"A": {}, "B": {}, "T0": {}}
    for row in loader.rows("glass/lakatos1976"):
        if row["table"] == "vft":
            tables[row["quantity"]][row["term"]] = float(row["coefficient"])
    ranges = tuple(
        Range(row["component"], float(row["low"]), float(row["high"]))
        for row in loader.rows("glass/lakatos1976_ranges")
    )
    return AdditiveLaw(tables["B"], tables["A"], tables["T0"], units.to_si(0.0, "°C", "temperature"), ranges)


def _counted(mole: Mapping[str, float], model: str) -> dict[str, float]:
    names = {row["component"]: row["counted_as"] for row in loader.rows("glass/counted_as") if row["model"] == model}
    result: dict[str, float] = {}
    for name, amount in mole.items():
        as_name = names.get(name, name)
        result[as_name] = result.get(as_name, 0.0) + amount
    return result


@dataclass(frozen=True)
class GlassEstimate:
    """What the models say of one composition.

    Attributes
    ----------
    mole : mapping of str to float
        Mole per cent.
    expansion, density, young, refractive_index, transformation : Figure
        Mean linear expansion 20-300 C, density, Young's modulus, index, Tg by its own regression.
    isokom_12, isokom_6_6 : Figure
        Temperatures at 10^12 and 10^6.6 Pa s.
    isokom_4, isokom_3_5 : Figure or None
        Temperatures at 10^4 and 10^3.5 Pa s; None when no law passes through the isokoms.
    law : VftViscosity or None
        Viscosity against temperature.
    sd : mapping of str to float
        One standard deviation of each figure, by attribute name.
    leaded : bool
        More lead oxide than the threshold of the trade tables.
    flags : tuple of str
        Where the composition leaves the models' data, in words.
    """

    mole: Mapping[str, float]
    expansion: Figure
    density: Figure
    young: Figure
    refractive_index: Figure
    transformation: Figure
    isokom_12: Figure
    isokom_6_6: Figure
    isokom_4: Figure | None
    isokom_3_5: Figure | None
    law: VftViscosity | None
    sd: Mapping[str, float]
    leaded: bool
    flags: tuple[str, ...]

    def factors(self, jar: str) -> dict[str, StudentT | Normal]:
        """Return the uncertain factors of a jar of this glass, ready for a Spread."""
        return {
            f"jar {jar}: expansion": heavy_tailed(self.expansion.value, self.sd["expansion"]),
            f"jar {jar}: isokom 12": heavy_tailed(self.isokom_12.value, self.sd["isokom_12"]),
            f"jar {jar}: density": Normal(mean=self.density.value, sd=self.sd["density"]),
            f"jar {jar}: young": heavy_tailed(self.young.value, self.sd["young"]),
        }


def glass_from_composition(weight_percent: Mapping[str, float]) -> GlassEstimate:
    """Estimate a glass from its weight analysis.

    Crystals that did not dissolve (opacifier) are not glass: leave them out of the analysis.

    Parameters
    ----------
    weight_percent : mapping of str to float
        Oxides and F in weight per cent, near 100 in sum.

    Raises
    ------
    InputError
        When the analysis cannot be read.
    """
    return glass_from_moles(mole_percent(read_components(weight_percent), molar_masses()))


def glass_from_moles(mole: Mapping[str, float]) -> GlassEstimate:
    """Estimate a glass from mole per cent; the amounts are scaled to 100."""
    mole = normalised(read_components(mole))
    flags: list[str] = []
    sd: dict[str, float] = {}
    widening = loader.value("glass/outside_widening")

    def regressed(name: str, quantity: str) -> Figure:
        model = regression(quantity)
        counted = _counted(mole, "regression")
        flags.extend(f"{name.replace('_', ' ')}: {words}" for words in model.flags(counted))
        sd[name] = model.sd(counted) * (1.0 if model.inside(counted) else widening)
        dimension = _PROPERTIES[quantity][1]
        return heavy_figure(model.value(counted), sd[name], dimension, _origin("sciglass2019_regression"))

    expansion = regressed("expansion", "expansion_20_300")
    young = regressed("young", "youngs_modulus")
    index = regressed("refractive_index", "refractive_index_nd")
    transformation = regressed("transformation", "transformation_temperature")

    counted = _counted(mole, "density")
    heavy, unknown = density(density_model(), counted)
    flags.extend(unknown)
    sd["density"] = scatter_of(scatter("density"), counted) * (widening if unknown else 1.0)

    points = isokoms(isokom_models(), _counted(mole, "viscosity"))
    labels = ("isokom_12", "isokom_6_6", "isokom_1_5")
    tables = ("isokom_12", "isokom_6.6", "isokom_1.5")
    for label, table, outside in zip(labels, tables, points.flags, strict=True):
        flags.extend(f"viscosity: {words}" for words in outside)
        sd[label] = scatter_of(scatter(table), mole) * (widening if outside else 1.0)

    law: VftViscosity | None = None
    try:
        law = points.law()
    except InputError:
        flags.append("viscosity: no law passes through the isokoms; firing temperatures are not estimated")
    if law is not None and (
        law.ill_conditioned or law.log_prefactor < loader.value("glass/viscosity_law_lowest_prefactor")
    ):
        flags.append("viscosity: the law is weakly fixed; read it between its isokoms only")

    origin = _origin("fluegel2007_viscosity")

    def isokom(level: float, name: str) -> Figure:
        return heavy_figure(points.at(level), sd[name], "temperature", origin)

    def flow(key: str, name: str) -> Figure | None:
        if law is None:
            return None
        sd[name] = max(sd["isokom_6_6"], sd["isokom_1_5"])
        return heavy_figure(law.temperature_at(loader.value(key)), sd[name], "temperature", origin)

    cool, middle, _ = (level for _, level in points.points)
    return GlassEstimate(
        mole=mole,
        expansion=expansion,
        density=normal_figure(heavy, sd["density"], "density", _origin("fluegel2007_density")),
        young=young,
        refractive_index=index,
        transformation=transformation,
        isokom_12=isokom(cool, "isokom_12"),
        isokom_6_6=isokom(middle, "isokom_6_6"),
        isokom_4=flow("glass/working_log_viscosity", "isokom_4"),
        isokom_3_5=flow("glass/gloss_log_viscosity", "isokom_3_5"),
        law=law,
        sd=sd,
        leaded=_lead_share(mole) > loader.value("trade/lead_share_leaded"),
        flags=tuple(dict.fromkeys(flags)),
    )


def _lead_share(mole: Mapping[str, float]) -> float:
    return units.to_si(mole.get("PbO", 0.0), "%", "ratio")


def _origin(source: str) -> Origin:
    return Origin(kind="computed", source=f"composition model [{source}]", status="computed")

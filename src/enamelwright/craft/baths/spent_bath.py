"""A spent bath: kept and handed in, or, where that is allowed, its copper settled with soda; what stays dissolved.

Settling makes less of it and takes the acid out of it. It is no leave to pour anything away.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from enamelwright import units
from enamelwright.craft.baths.bath import strip_gainsays
from enamelwright.craft.baths.bath_made import BathMade, Met
from enamelwright.craft.baths.counted import Band, Ledger, parts_of, water_in
from enamelwright.craft.baths.equilibrium import Part, Solid, at_rest
from enamelwright.craft.health.dust_limits import unknown_share
from enamelwright.craft.health.limits import Applied, limit
from enamelwright.errors import InputError, OutOfReach
from enamelwright.figure import Figure, Origin
from enamelwright.physics import bath_chemistry as law
from enamelwright.reference.loader import rows, value

Soda = Literal["soda ash", "soda crystals", "baking soda"]
#: How long the liquor has stood, which says how much carbon dioxide is left in it.
Standing = Literal["fizzing", "stirred flat", "open overnight", "open for days"]
Route = Literal["hold and hand in", "hold and hand in, or settle where local rules allow"]

#: Soda -> (its molar mass, what the engine calls it, acids it takes up, its factor).
SODAS: dict[Soda, tuple[str, Part, int, str]] = {
    "soda ash": ("soda_ash", "Na2CO3", law.ACID_PER_CARBONATE, "ash_factor"),
    "soda crystals": ("soda_crystals", "Na2CO3", law.ACID_PER_CARBONATE, "ash_factor"),
    "baking soda": ("baking_soda", "NaHCO3", 1, "baking_factor"),
}
#: Aged solid and fresh solid: what stays dissolved lies between them.
AGED: Solid = "Malachite"
FRESH: Solid = "Cu(OH)2(s)"
#: Doses of a row: a twentieth of what answers the acid apart.
DOSES = 13
_MODELS = Origin(
    kind="computed", source="between aged malachite and fresh hydroxide, at 25 °C", status="screening estimate"
)
_COUNTED = Origin(kind="computed", source="moles counted into the bath", status="screening estimate")

#: From which concentration waste with a metal counts as toxic.
_TOXIC: dict[str, str] = {"lead": "tc_pb", "cadmium": "tc_cd"}
#: What may never be done with any of it.
NEVER: tuple[str, ...] = (
    "never into a septic tank, a storm drain, soil or the garden",
    "nothing into a drain before somebody responsible has said yes",
    "never thin it to get under a limit: the copper stays the same",
    "never dry it by boiling, and never burn what settles",
    "never caustic soda: it overshoots at once, and burns",
    "never in a drink bottle or a food jar",
)


@lru_cache(maxsize=1)
def _pressures() -> dict[str, float]:
    return {row["state"]: float(row["log_pressure"]) for row in rows("health/gas_states")}


@lru_cache(maxsize=1)
def standing_words() -> dict[str, str]:
    """Return each standing in words; treat it as read-only."""
    return {row["state"]: row["words"] for row in rows("health/gas_states")}


def why_held(made: BathMade, book: Ledger, own: Iterable[Applied] = ()) -> tuple[str, ...]:
    """Return why a bath is only kept and handed in; empty when settling may be thought of.

    Parameters
    ----------
    made : BathMade
        What was told of it.
    book : Ledger
        What was counted into it.
    own : iterable of Applied
        A studio's own limits.
    """
    reasons, instead = [], tuple(own)
    if made.met is None:
        reasons.append("nobody has said what enamel it has met: look at the jars, and say so")
    for metal in made.met or ():
        reasons.append(
            "it has met enamel nobody knows: treat it as lead and cadmium"
            if metal == "unknown enamel"
            else _met(metal, made, instead)
        )
    if book.chemistry.why_held:
        reasons.append(book.chemistry.why_held)
    if set(made.also) - {made.kind}:
        got = ", ".join(sorted(set(made.also) - {made.kind}))
        reasons.append(f"{got} got into it: two chemistries cannot be told apart any more")
    if gainsaid := strip_gainsays(made, book):
        reasons.append(gainsaid)
    return tuple(reasons)


def _met(metal: Met, made: BathMade, instead: tuple[Applied, ...]) -> str:
    if metal == "silver":
        return "it has met silver: silver in water harms at a hundredth of what copper does"
    if metal != "lead" and metal != "cadmium":
        return f"it has met {metal}"
    bound, own = limit(_TOXIC[metal], instead), getattr(made, metal)
    share = unknown_share(metal) if own is None else own
    litre = units.to_si(1.0, "L", "volume")
    glass = law.glass_to_reach(litre, units.to_si(bound.value, bound.unit, "concentration"), share)
    holds = f"{units.from_si(share, '%', 'ratio'):.2g} %"
    whose = "as its jars tell" if own is not None else "the most such enamels hold, taken since no jar tells"
    return (
        f"it has met {metal}: {units.from_si(glass, 'mg', 'mass'):.2g} mg of glass with {holds} of it "
        f"({whose}), dissolved in a litre, is {bound.shown()}, from which waste counts as toxic ({bound.words()})"
    )


def route(made: BathMade, book: Ledger) -> Route:
    """Return what may be done with a spent bath.

    Parameters
    ----------
    made : BathMade
        What was told of it.
    book : Ledger
        What was counted into it.
    """
    return "hold and hand in" if why_held(made, book) else "hold and hand in, or settle where local rules allow"


@dataclass(frozen=True)
class Settled:
    """What soda makes of a spent bath.

    Attributes
    ----------
    soda : float
        To weigh out [kg].
    gas : Figure
        Carbon dioxide it gives off at most [m3].
    vessel : float
        Least vessel [m3].
    left : Figure
        Copper that stays dissolved [kg/m3].
    ph : Figure
        After it.
    dry, wet : Figure
        Sludge with that scale: dry [kg] and as it lies [m3].
    scale : Figure
        Scale in it that the acid never dissolved [kg].
    """

    soda: float
    gas: Figure
    vessel: float
    left: Figure
    ph: Figure
    dry: Figure
    wet: Figure
    scale: Figure


def usual_factor(soda: Soda) -> float:
    """Return the usual dose of a soda, times what answers the acid."""
    return value(f"health/soda/{SODAS[soda][3]}")


def settle(
    book: Ledger, soda: Soda = "soda ash", standing: Standing = "open overnight", factor: float | None = None
) -> Settled:
    """Return what soda makes of a vinegar bath.

    Parameters
    ----------
    book : Ledger
        The bath; its strength has to be told.
    soda : str
        ``soda ash``, ``soda crystals`` or ``baking soda``: what stands on the packet.
    standing : str
        How long it has stood since.
    factor : float, optional
        Times what answers the acid first put in; the usual when left out.

    Raises
    ------
    InputError
        When the strength is not known, since soda is weighed by the acid, or the dose is outside what is useful.
    OutOfReach
        When the bath has no acid that is counted.
    """
    if book.protons is None:
        raise OutOfReach(f"no soda is weighed for {book.chemistry.kind}.", "Keep it and hand it in.")
    if not book.told:
        raise InputError(
            "soda is weighed by the acid that was put in, and its strength is not known.",
            "Read the strength off the bottle or the packet (5 % for most vinegars), or keep it and hand it in.",
            "strength",
        )
    times = usual_factor(soda) if factor is None else factor
    least, most = value("health/soda/sweep_least"), value("health/soda/sweep_most")
    if not least <= times <= most:
        raise InputError(
            f"a dose of {times:g} times the acid is outside {least:g} to {most:g}.",
            "Too little leaves it sour, too much dissolves copper again.",
            "dose",
        )
    name, part, takes, _ = SODAS[soda]
    acid = book.protons.value
    mass = law.soda_mass(acid, times, value(f"health/molar/{name}"), takes)
    given = law.gas_volume(times * acid / takes, value("health/molar/gas"))
    left, ph = residual(book, part, times * acid / takes, standing)
    return Settled(
        soda=mass,
        gas=Figure(value=given, low=0.0, high=given, dimension="volume", origin=_COUNTED),
        vessel=value("health/soda/vessel") * book.volume,
        left=left,
        ph=ph,
        dry=_sludge(book),
        wet=_wet(_sludge(book)),
        scale=book.undissolved().figure("mass", _COUNTED),
    )


def residual(book: Ledger, part: Part, soda: float, standing: Standing) -> tuple[Figure, Figure]:
    """Return (copper that stays dissolved [kg/m3], pH) as ranges over the solids that may have settled.

    Parameters
    ----------
    book : Ledger
        The bath.
    part : str
        The soda as the engine writes it.
    soda : float
        [mol].
    standing : str
        How long it has stood.
    """
    if book.acid is None:
        raise OutOfReach(f"no acidity is worked out for {book.chemistry.kind}.", "Measure it.")
    held = book.dissolved()
    water, gas = water_in(book.volume), _pressures()[standing]
    per_volume = value("health/molar/copper") * value("health/bath/water")
    found = {
        (solid, copper): at_rest(water, {**parts_of(book, book.acid.value, copper), part: soda}, solid, gas)
        for solid in (AGED, FRESH)
        for copper in {held.low, held.high}
    }
    low = value("health/soda/solid_low") * min(one.copper for (solid, _), one in found.items() if solid == AGED)
    high = value("health/soda/solid_high") * max(one.copper for (solid, _), one in found.items() if solid == FRESH)
    # No more can stay than went in.
    high = min(high, max(low, held.high / water))
    acidities, around = [one.ph for one in found.values()], value("health/bath/ph_model")
    middle = (low * high) ** 0.5
    return (
        Band(low, middle, high).times(per_volume).figure("concentration", _MODELS),
        Band(min(acidities) - around, (min(acidities) + max(acidities)) / 2, max(acidities) + around).figure(
            "acidity", _MODELS
        ),
    )


def doses(book: Ledger, standing: Standing, count: int = DOSES) -> tuple[tuple[float, Figure, Figure], ...]:
    """Return (times the acid, copper that stays, pH) for a row of doses of soda ash.

    Parameters
    ----------
    book : Ledger
        The bath.
    standing : str
        How long it has stood.
    count : int
        How many doses, at least 2.
    """
    if book.protons is None:
        return ()
    least, most = value("health/soda/sweep_least"), value("health/soda/sweep_most")
    found = []
    for step in range(count):
        times = least + (most - least) * step / (count - 1)
        found.append((times, *residual(book, "Na2CO3", times * book.protons.value / law.ACID_PER_CARBONATE, standing)))
    return tuple(found)


def _sludge(book: Ledger) -> Figure:
    """Return the dry solid [kg]: copper hydroxide at the least, malachite at the most, and scale as it was."""
    held = book.dissolved()
    malachite = value("health/molar/malachite")
    ends = Band(
        law.solid_mass(held.low, value("health/molar/copper_hydroxide")),
        law.solid_mass(held.value, malachite, 2),
        law.solid_mass(held.high, malachite, 2),
    )
    return ends.plus(book.undissolved()).figure("mass", _COUNTED)


def _wet(dry: Figure) -> Figure:
    # mL/g is m3 for 1000 kg: told by the density of water, so that no bare thousand stands here.
    unit = 1 / value("health/bath/water")
    least, most = value("health/soda/sludge_wet_least"), value("health/soda/sludge_wet_most")
    return Band(least * unit * dry.low, (least + most) / 2 * unit * dry.value, most * unit * dry.high).figure(
        "volume", _COUNTED
    )


@dataclass(frozen=True)
class Rinse:
    """The first rinse after a load.

    Attributes
    ----------
    copper : Figure
        Dissolved, before soda [kg/m3].
    ph : float or None
        Before soda, in soft water; None when no acid is counted.
    soda : float
        Baking soda for it [kg].
    left : Figure or None
        Dissolved after soda, once it has settled in open air [kg/m3].
    """

    copper: Figure
    ph: float | None
    soda: float
    left: Figure | None


def rinse_of(book: Ledger, water: float | None = None, drag_out: float | None = None) -> Rinse:
    """Return what the rinse holds after one load has carried bath into it.

    Parameters
    ----------
    book : Ledger
        The bath.
    water : float, optional
        Rinse before [m3]; usual when left out.
    drag_out : float, optional
        Bath that clings [m3]; usual when left out.
    """
    tub = value("health/rinse/water") if water is None else water
    clings = value("health/rinse/drag_out") if drag_out is None else drag_out
    molar, share = value("health/molar/copper"), clings / book.volume
    held = book.dissolved()
    inside = Band(
        *(law.carried_over(one * molar / book.volume, clings, tub) for one in (held.low, held.value, held.high))
    )
    soda = value("health/rinse/soda") * tub
    if book.acid is None or book.mixed or book.chemistry.kind != "vinegar and salt":
        return Rinse(inside.figure("concentration", _COUNTED), None, soda, None)
    kilograms = water_in(tub + clings)
    carried: dict[Part, float] = {
        part: share * one for part, one in parts_of(book, book.acid.value, held.value).items()
    }
    sour = at_rest(kilograms, carried).ph
    carried["NaHCO3"] = soda / value("health/molar/baking_soda")
    air, per_volume = _pressures()["open for days"], molar * value("health/bath/water")
    ends = [at_rest(kilograms, carried, solid, air).copper * per_volume for solid in (AGED, FRESH)]
    left = Band(min(ends), (min(ends) * max(ends)) ** 0.5, max(ends)).figure("concentration", _MODELS)
    return Rinse(inside.figure("concentration", _COUNTED), sour, soda, left)


@dataclass(frozen=True)
class Yardstick:
    """A published figure to hold a liquor against; context, not a permission.

    Attributes
    ----------
    words : str
        What it is.
    bound : float
        [kg/m3].
    shown, cite : str
        As stated, and where.
    """

    words: str
    bound: float
    shown: str
    cite: str


def yardsticks(own: Iterable[Applied] = ()) -> tuple[Yardstick, ...]:
    """List what a residual is held against, the smallest first.

    Parameters
    ----------
    own : iterable of Applied
        A studio's own limits.
    """
    instead = tuple(own)
    hard = units.from_si(value("health/yardstick/hardness"), "mg/L", "concentration")
    found = []
    for kind, words in (("chronic", "fresh water, for ever"), ("acute", "fresh water, an hour")):
        slope, intercept = limit(f"cu_{kind}_fresh_slope"), limit(f"cu_{kind}_fresh_intercept")
        micro = law.hardness_criterion(hard, slope.value, intercept.value, limit("cu_fresh_dissolved_factor").value)
        found.append(
            Yardstick(
                f"{words}, hardness {hard:g} mg/L", units.to_si(micro, "µg/L", "concentration"), f"{micro:.2g} µg/L",
                slope.words(),
            )
        )  # fmt: skip
    for name, words in (
        ("cu_drinking_action", "drinking water, action level"),
        ("cu_stlc_california", "waste, soluble"),
    ):
        one = limit(name, instead)
        found.append(Yardstick(words, units.to_si(one.value, one.unit, "concentration"), one.shown(), one.words()))
    return tuple(found)

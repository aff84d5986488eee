"""Dust of a session held against the limits of workplaces, with what a mask would take off.

The limits bind employers where they hold; for somebody alone at a bench they are yardsticks. Judged on the
middle tier, and never called low while the bound lies over a limit.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from enamelwright import units
from enamelwright.craft.health.limits import Applied, Limit, limit
from enamelwright.craft.health.sifting_dust import Air, Part, told
from enamelwright.craft.jar import Answer, Jar
from enamelwright.craft.verdict import SEVERITY, Level
from enamelwright.figure import Figure, Origin

Metal = Literal["", "cadmium", "lead"]
Mask = Literal[
    "none", "filtering facepiece", "half mask", "full face mask", "powered, loose hood or visor", "powered half mask",
    "powered full face mask",
]  # fmt: skip

#: Which limit speaks of which metal and of which part of the dust; of lead the whole is taken, to be cautious.
AGAINST: tuple[tuple[str, Metal, Part], ...] = (
    ("cd_air_osha_pel", "cadmium", "total"),
    ("cd_air_osha_action", "cadmium", "total"),
    ("cd_air_eu_oel_transition", "cadmium", "inhalable"),
    ("cd_air_eu_oel", "cadmium", "inhalable"),
    ("pb_air_osha_pel", "lead", "total"),
    ("pb_air_osha_action", "lead", "total"),
    ("pb_air_eu_oel", "lead", "total"),
    ("dust_total_osha", "", "total"),
    ("dust_resp_osha", "", "respirable"),
)
#: Factor of each mask, and whether it counts only when it sits tight and was tested on this face.
_MASKS: dict[Mask, tuple[str, bool]] = {
    "filtering facepiece": ("apf_filtering_facepiece", True),
    "half mask": ("apf_half_mask", True),
    "full face mask": ("apf_full_face", True),
    "powered, loose hood or visor": ("apf_papr_loose", False),
    "powered half mask": ("apf_papr_half", True),
    "powered full face mask": ("apf_papr_full", True),
}
_WORDS: dict[Level, str] = {
    "good": "low on this estimate", "watch": "worth watching", "stop": "over the limit on this estimate",
}  # fmt: skip


@dataclass(frozen=True)
class Held:
    """Dust held against one limit.

    Attributes
    ----------
    limit : Limit
        The limit with its place, date and status.
    metal, part : str
        What it speaks of, empty for any dust; and which part of the dust.
    figure : Figure
        Mean of the shift in the air at the face [kg/m3].
    share : Figure
        Of the limit.
    level : str
        ``good`` reads low on this estimate, never more.
    words : str
        The same in words.
    """

    limit: Limit
    metal: Metal
    part: Part
    figure: Figure
    share: Figure
    level: Level
    words: str


@dataclass(frozen=True)
class Masked:
    """What a mask is counted for.

    Attributes
    ----------
    factor : float
        By which it is taken to lower what is breathed; 1 when it does not count.
    words : str
        Why.
    needed : float
        Factor that would bring the high end below every limit told.
    """

    factor: float
    words: str
    needed: float


def level_of(share: Figure) -> Level:
    """Judge a share of a limit, by its middle and its bound."""
    if share.value > 1:
        return "stop"
    return "watch" if share.value > told("share_low").value or share.high > 1 else "good"


def words_of(share: Figure) -> str:
    """Say a judgement; from half of a limit on, air is worth measuring."""
    level = level_of(share)
    if level == "watch" and share.value > told("share_watch").value:
        return "act, and have the air measured"
    if level == "watch" and share.high > 1:
        return "likely below the limit, but it may be over it"
    return _WORDS[level]


def held_against(
    air: Air, shares: dict[Metal, float], elapsed: float, measured: Figure | None = None, own: Iterable[Applied] = ()
) -> list[Held]:
    """Hold the dust at the face against every limit that speaks of it.

    Parameters
    ----------
    air : Air
        While the session lasts.
    shares : dict
        Mass share of each metal in the dust; those left out are not there.
    elapsed : float
        Of the session [s].
    measured : Figure, optional
        Total dust measured in the air during the session [kg/m3]; it replaces what was worked out.
    own : iterable of Applied
        A studio's own limits.
    """
    found, instead = [], tuple(own)
    for name, metal, part in AGAINST:
        if metal and not shares.get(metal):
            continue
        share = shares[metal] if metal else 1.0
        if measured is None:
            dust = air.figure("near", part, share, elapsed)
        else:
            times = share * elapsed / told("shift").value  # a sample of all dust bounds its finer part
            dust = _times(measured, times)
        one = limit(name, instead)
        top = units.to_si(one.value, one.unit, "dust")
        ratio = Figure(
            value=dust.value / top, low=dust.low / top, high=dust.high / top, dimension="ratio", origin=dust.origin
        )
        found.append(Held(one, metal, part, dust, ratio, level_of(ratio), words_of(ratio)))
    return found


def _times(figure: Figure, factor: float) -> Figure:
    return Figure(
        value=figure.value * factor, low=figure.low * factor, high=figure.high * factor, dimension="dust",
        origin=figure.origin,
    )  # fmt: skip


def measured_air(value_: float) -> Figure:
    """Return a measured sample as a figure; one day may stand for half or twice the next [kg/m3].

    Parameters
    ----------
    value_ : float
        [kg/m3].
    """
    band = told("measured_band").value
    return Figure(
        value=value_,
        low=value_ / band,
        high=value_ * band,
        dimension="dust",
        origin=Origin(kind="measured", source="a sample of the air"),
    )


def worst(held: Iterable[Held]) -> Level:
    """Return the level that leads."""
    return max((one.level for one in held), key=SEVERITY.__getitem__, default="good")


def which_mask(needed: float) -> str:
    """Say in general terms which mask would be enough even at the high end; empty where none is asked for.

    Parameters
    ----------
    needed : float
        Factor that would bring the high end below every limit.
    """
    if needed <= 1:
        return ""
    enough = sorted((limit(name).value, mask) for mask, (name, _) in _MASKS.items() if limit(name).value >= needed)
    after = "It comes after every other measure; local rules and the maker of the mask decide."
    if not enough:
        return "No mask of the table would be enough at the high end: make less dust first. " + after
    factor = enough[0][0]
    if factor > limit("apf_half_mask").value:
        kind = enough[0][1].replace("powered, loose hood or visor", "powered mask with a loose hood or visor")
        return (
            f"At the high end a half mask would not be enough: it would take a {kind}, with particle filters of class "
            f"P3 or P100, assigned a factor of {factor:g}. {after}"
        )
    return (
        "At the high end it would take a half mask with particle filters of class P3 or P100, or a filtering mask of "
        f"class FFP3, fit-tested on this face, clean-shaven at its seal: such a mask is assigned a factor of "
        f"{factor:g}. {after}"
    )


def masked(mask: Mask, tested: bool, held: list[Held]) -> Masked:
    """Say what a mask counts for.

    Parameters
    ----------
    mask : str
        What is worn.
    tested : bool
        Whether a tight one was fit-tested on this face, without a beard at the seal.
    held : list of Held
        What it is worn against.
    """
    needed = max((one.share.high for one in held), default=0.0)
    if mask == "none":
        return Masked(1.0, "No mask is counted.", needed)
    name, tight = _MASKS[mask]
    factor = limit(name).value
    if tight and not tested:
        return Masked(
            1.0,
            f"A {mask} sits tight only when it was fit-tested on this face, clean-shaven at its seal. Untested it is "
            "counted for nothing here.",
            needed,
        )
    return Masked(
        factor,
        f"A {mask} is assigned a factor of {factor:g}; P3 or P100 filters. It comes after every other measure.",
        needed,
    )


@dataclass(frozen=True)
class Metals:
    """Lead and cadmium in what is handled.

    Attributes
    ----------
    shares : dict
        Mass share of each metal; one that is left out is told as none.
    given : dict
        What was taken as given, by metal.
    cautions : tuple of str
        Where a composition gainsays a label.
    """

    shares: dict[Metal, float]
    given: dict[Metal, tuple[str, ...]]
    cautions: tuple[str, ...]


#: Metals and the oxides a composition tells them by.
_OXIDES: tuple[tuple[Literal["lead", "cadmium"], str], ...] = (("lead", "PbO"), ("cadmium", "CdO"))


def unknown_share(metal: Metal) -> float:
    """Mass share that counts where nobody has told of a metal: the unfavourable end of what enamels hold."""
    return told(f"{metal}_share").value


def weighed_share(jar: Jar, metal: Literal["lead", "cadmium"]) -> float:
    """Return the mass share of a metal that a jar's own composition tells; 0 where it tells none.

    Parameters
    ----------
    jar : Jar
        The jar.
    metal : str
        ``lead`` or ``cadmium``.
    """
    composition = {name.strip().casefold(): one for name, one in (jar.glass.composition or {}).items()}
    oxide = dict(_OXIDES)[metal].casefold()
    return composition.get(oxide, 0.0) / 100 * told(f"{metal}_in_oxide").value


def metals_of(jars: Iterable[Jar]) -> Metals:
    """Return lead and cadmium of the worst of some jars.

    A jar of which nothing is known counts as holding both, and so does no jar at all. A composition with an oxide
    of the metal counts for more than a label that says no.

    Parameters
    ----------
    jars : iterable of Jar
        What is handled.
    """
    known = list(jars)
    shares: dict[Metal, float] = {}
    given: dict[Metal, tuple[str, ...]] = {}
    cautions: list[str] = []
    for metal, oxide in _OXIDES:
        if not known:
            shares[metal] = unknown_share(metal)
            given[metal] = (f"{metal} is not told, so it is taken as {shares[metal]:.0%} of the mass: name the jars",)
        for jar in known:
            answer: Answer = getattr(jar.hazards, metal)
            share = weighed_share(jar, metal)
            if share > 0:
                if answer == "no":
                    weighed = 100 * share / told(f"{metal}_in_oxide").value
                    cautions.append(
                        f"{jar.name} is labelled without {metal}, yet its composition tells {weighed:g} % {oxide}: the "
                        "composition counts. Ask its supplier."
                    )
            elif answer == "no":
                continue
            else:
                share = unknown_share(metal)
                about = "not known to be without" if answer == "unknown" else "told to hold"
                line = f"{jar.name}: {about} {metal}, taken as {share:.0%} of its mass"
                given[metal] = (*given.get(metal, ()), line)
            shares[metal] = max(shares.get(metal, 0.0), share)
    return Metals(shares, given, tuple(dict.fromkeys(cautions)))


def two_digits(number: float) -> str:
    """Print a positive number with two digits, and no more."""
    if number < _LEAST:
        return f"under {_LEAST}"
    return f"{number:.2g}" if number < 100 else f"{float(f'{number:.2g}'):.0f}"


#: Numbers below it say no more than that.
_LEAST = 0.001


def tiers(figure: Figure, unit: str) -> str:
    """Say the three tiers of a bracket, two digits each.

    Parameters
    ----------
    figure : Figure
        Low, middle and high tier.
    unit : str
        To say them in.
    """
    low, middle, high = (
        two_digits(units.from_si(end, unit, figure.dimension)) for end in (figure.low, figure.value, figure.high)
    )
    return f"{middle} {unit} (low {low}, high {high})".replace("  ", " ")


def times(share: Figure) -> str:
    """Say a share of a limit as times of it, its three tiers.

    Parameters
    ----------
    share : Figure
        Of the limit.
    """
    low, middle, high = (two_digits(end) for end in (share.low, share.value, share.high))
    return f"{middle} times the limit (low {low}, high {high})"

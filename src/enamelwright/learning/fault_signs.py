"""What is known of a firing that may have gone wrong, and the signs that follow from it.

A sign holds, does not, or is not known; each is said in one sentence with the number behind it. How strongly a sign
speaks for a cause stands in `reference/trade/fault_signs`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import timedelta
from typing import Annotated, Literal, NamedTuple

from pydantic import Field

from enamelwright import units
from enamelwright.craft.description import Described, Length, Mass, Thickness, Time
from enamelwright.reference.loader import facts_of

Stage = Literal["", "powder", "sugar", "orange peel", "gloss", "cleared", "over-fired"]
_ORDER = ("powder", "sugar", "orange peel", "gloss", "cleared", "over-fired")
_STRAIN = frozenset({"FLAT-FACE", "FLAT-BETWEEN", "FLAT-REHEAT", "FLAT-RIM", "FLAT-STEP"})
#: Metals that give off gas when fired, and those that do not, by words of their names (common practice, no source).
_GASSING, _QUIET = ("sterling", "brass", "nickel silver"), frozenset({"copper", "fine silver", "fine gold"})
_MIDDLE = frozenset({"", "centre", "center", "middle"})

NO_WIRES = "none"
"""What `wires` says when it is known that there are none."""

Words = Annotated[str, Field(max_length=200)]
Count = Annotated[int, Field(ge=0, le=1_000_000)]


class FaultFacts(Described):
    """What is known of the piece and of the firing a fault came from; everything may be left out."""

    dried: Annotated[Time, Field(ge=0, le=1e7)] | None = Field(None, description="the last coat, before it went in")
    vapour_seen: bool | None = Field(None, description="whether steam was seen on putting it in")
    gum_ratio: Annotated[float, Field(ge=0, le=100)] | None = Field(None, description="hold agent to water")
    powder_depth: Annotated[Length, Field(gt=0, le=0.02)] | None = Field(None, description="of the coat it shows in")
    mesh: Annotated[int, Field(ge=1, le=2000)] | None = Field(None, description="finest sieve it was laid through")
    metal: Words = ""
    metal_thickness: Annotated[Thickness, Field(gt=0, le=0.05)] | None = None
    front_powder: Annotated[Mass, Field(ge=0, le=10)] | None = Field(None, description="all coats of the front so far")
    back_powder: Annotated[Mass, Field(ge=0, le=10)] | None = Field(None, description="all coats of the back so far")
    lot_condition: Literal["", "good", "damp", "many fines", "mixed", "doubtful"] = ""
    lot_washed: bool | None = None
    lot_opened_days: Count | None = Field(None, description="days since the lot was opened")
    stage: Stage = Field("", description="stage it was pulled at")
    target: Stage = Field("", description="stage aimed at")
    first_stage: Stage = Field("", description="stage of the first firing of this face")
    seconds: Annotated[Time, Field(gt=0, le=864000)] | None = Field(None, description="in the kiln")
    window_from: Annotated[Time, Field(gt=0, le=864000)] | None = None
    window_to: Annotated[Time, Field(gt=0, le=864000)] | None = None
    start: Literal["", "load", "recovered"] = Field("", description="what the time was counted from")
    window_start: Literal["", "load", "recovered"] = Field("", description="what the window counts from")
    pause: Annotated[Time, Field(ge=0, le=1e8)] | None = Field(None, description="since the load before came out")
    cooled: Literal["", "on the pad", "in the kiln", "slowly", "quenched", "under weight"] = ""
    support: Words = ""
    place: Words = Field("", description="where in the kiln it stood")
    fired_again: Count | None = Field(None, description="times its colour was fired again after its own firing")
    verdicts: tuple[Annotated[str, Field(max_length=40)], ...] | None = Field(
        None, description="rules the plan warns of; left out without a plan"
    )
    leaded_below: bool | None = Field(None, description="whether leaded glass lies below lead-free glass, as laid")
    warm_on_bare: bool | None = Field(None, description="whether a warm colour was laid on bare copper")
    cleaned: bool | None = Field(None, description="whether the metal was degreased before the coat went on")
    rinsed: bool | None = Field(None, description="whether pickle and soldering flux were boiled out and rinsed off")
    wires: Words = Field("", description="metal of the wires; none when there are no wires")
    foil: bool | None = None
    solder: bool | None = None
    formed: bool | None = Field(None, description="whether the metal was formed and not annealed after")
    torch: bool | None = None
    stoned: bool | None = Field(None, description="whether it was stoned before the fault was seen")
    pickled: bool | None = Field(None, description="whether it was pickled with glass on it")
    kiln: Literal["", "hotter", "colder", "as usual"] = Field("", description="than it shows, by the control tile")
    kiln_words: Words = ""
    firings_left: Count | None = Field(None, description="that the warm colours bear")
    in_hand: tuple[Words, ...] = Field((), description="what went wrong in the hand in this firing")


class Sign(NamedTuple):
    """A sign with whether it holds and why; without words it says nothing either way."""

    holds: bool | None
    words: str


def signs(facts: FaultFacts, names: Iterable[str] | None = None) -> dict[str, Sign]:
    """Return signs by name.

    Parameters
    ----------
    facts : FaultFacts
        Known so far.
    names : iterable of str, optional
        Which; all when left out.
    """
    return {name: Sign(*_SIGNS[name](facts)) for name in (_SIGNS if names is None else names)}


def sign_names() -> tuple[str, ...]:
    """Return the names of all signs."""
    return tuple(_SIGNS)


def span_words(seconds: float) -> str:
    """Say a span of time in minutes, from two hours in hours, and from two days in days.

    Parameters
    ----------
    seconds : float
        [s].
    """
    for unit, least in (("d", timedelta(days=2)), ("h", timedelta(hours=2))):
        if seconds >= least.total_seconds():
            number = round(units.from_si(seconds, unit, "time"))
            return f"{number} {'days' if unit == 'd' else 'hours'}"
    return units.show(seconds, "time", "min")


def limit(name: str) -> float:
    """Return a limit of `reference/trade/fault_weights` in SI.

    Parameters
    ----------
    name : str
        Without its ``fault_``.
    """
    return facts_of("trade/fault_weights")[f"trade/fault_{name}"].value


Found = tuple[bool | None, str]


def _not_dry(f: FaultFacts) -> Found:
    if f.vapour_seen:
        return True, "steam was seen when it went in"
    if f.dried is None:
        return None, "how long it dried"
    shown = units.show(f.dried, "time", "min")
    return f.dried < limit("dry_short"), f"it dried for {shown}"


def _gum(f: FaultFacts) -> Found:
    if f.gum_ratio is None:
        return None, "how strong the hold agent was"
    if f.gum_ratio == 0:
        return False, "no hold agent was used"
    return f.gum_ratio > limit("gum_strong"), f"one part of hold agent to {1 / f.gum_ratio:.2g} of water"


def _no_gum(f: FaultFacts) -> Found:
    if f.gum_ratio is None:
        return None, "whether a hold agent was used"
    return f.gum_ratio == 0, "no hold agent was used" if f.gum_ratio == 0 else "a hold agent was used"


def _depth(f: FaultFacts, rule: str, than: float, more: bool) -> Found:
    if f.verdicts is not None and rule in f.verdicts:
        return True, f"the plan warns of a {'thick' if more else 'thin'} coat"
    if f.powder_depth is None or f.metal_thickness is None:
        return None, "how deep the powder lay"
    ratio = f.powder_depth / f.metal_thickness
    words = (
        f"{units.show(f.powder_depth, 'length', 'mm')} of powder on metal of "
        f"{units.show(f.metal_thickness, 'length', 'mm')}"
    )
    return (ratio > than if more else ratio < than), words


def _rule(*rules: str, words: str) -> Callable[[FaultFacts], Found]:
    def find(f: FaultFacts) -> Found:
        if f.verdicts is None:
            return None, "whether " + words
        holds = bool(set(rules) & set(f.verdicts))
        return holds, words if holds else words.replace("warns", "does not warn")

    return find


def _uneven(f: FaultFacts) -> Found:
    if f.front_powder and f.back_powder:
        ratio = f.front_powder / f.back_powder
        uneven = ratio > limit("front_heavy") or 1 / ratio > limit("back_heavy")
        shown = [units.show(one, "mass", "g") for one in (f.front_powder, f.back_powder)]
        return uneven, f"{shown[0]} of powder in front, {shown[1]} on the back, as laid"
    if f.verdicts is not None and {"BALANCE", "COUNTER-NEED", "COUNTER-BARE-HI"} & set(f.verdicts):
        return True, "the plan warns of uneven faces"
    return None, "how much powder lies on each face"


def _bare_back(f: FaultFacts) -> Found:
    if f.back_powder == 0:
        return True, "nothing is written down on the back"
    if f.back_powder:
        return False, "the back is covered"
    return _rule("COUNTER-NEED", "COUNTER-MAYBE", "COUNTER-BARE-HI", words="the plan warns of a bare back")(f)


def _short(f: FaultFacts) -> Found:
    if f.stage and f.target:
        if (f.stage, f.target) == ("gloss", "cleared"):  # glass that gloss is written of may have cleared or not
            return None, ""
        return _ORDER.index(f.stage) < _ORDER.index(f.target), f"pulled at {f.stage}, aimed at {f.target}"
    if f.seconds is None or f.window_from is None:
        return None, "at which stage it was pulled"
    words = f"{units.show(f.seconds, 'time', 's')} in the kiln, foretold from {units.show(f.window_from, 'time', 's')}"
    return f.seconds < f.window_from, words


def _overheated(f: FaultFacts) -> Found:
    if f.stage == "over-fired":
        return True, "pulled over-fired"
    if f.stage and f.target and _ORDER.index(f.stage) <= _ORDER.index(f.target):
        return False, f"pulled at {f.stage}, aimed at {f.target}"
    if f.seconds is None or f.window_to is None:
        return None, "how long it was in, against what was foretold"
    words = f"{units.show(f.seconds, 'time', 's')} in the kiln, foretold up to {units.show(f.window_to, 'time', 's')}"
    return f.seconds > f.window_to, words


def _first_short(f: FaultFacts) -> Found:
    if not f.first_stage:
        return None, "at which stage the first coat was pulled"
    if f.first_stage == "orange peel":  # ordinary for a first coat: it speaks neither way
        return None, ""
    return f.first_stage in {"powder", "sugar"}, f"the first coat was pulled at {f.first_stage}"


def _cold_start(f: FaultFacts) -> Found:
    if f.pause is None:
        return None, "how soon it followed the load before"
    words = f"it went in {span_words(f.pause)} after the load before"
    return f.pause < limit("pause_short"), words


def _counted(f: FaultFacts) -> Found:
    if not f.start or not f.window_start:
        return None, "what the time was counted from"
    how = {"load": "closing the door", "recovered": "back up to heat"}
    if f.start == f.window_start:
        return False, f"counted from {how[f.start]}, as it was foretold"
    return True, f"counted from {how[f.start]}, foretold from {how[f.window_start]}"


def _lot(condition: str) -> Callable[[FaultFacts], Found]:
    def find(f: FaultFacts) -> Found:
        if not f.lot_condition:
            return None, "the condition of the lot"
        return f.lot_condition == condition, _noted(f.lot_condition)

    return find


def _mixed(f: FaultFacts) -> Found:
    if not f.lot_condition:
        return None, "the condition of the lot"
    return f.lot_condition in {"mixed", "doubtful"}, _noted(f.lot_condition)


def _noted(condition: str) -> str:
    return f"the lot is noted as {'having many fines' if condition == 'many fines' else condition}"


def _not_washed(f: FaultFacts) -> Found:
    if f.lot_washed is None:
        return None, "whether the lot was washed"
    return not f.lot_washed, "the lot was washed" if f.lot_washed else "no wash of the lot is written down"


def _old(f: FaultFacts) -> Found:
    if f.lot_opened_days is None:
        return None, "when the lot was opened"
    age = timedelta(days=f.lot_opened_days).total_seconds()
    when = {0: "that day", 1: "the day before"}.get(f.lot_opened_days, f"{f.lot_opened_days} days before")
    return age > limit("old_lot"), f"the lot was opened {when}"


def _told(name: str, yes: str, no: str, unknown: str) -> Callable[[FaultFacts], Found]:
    def find(f: FaultFacts) -> Found:
        value = getattr(f, name)
        return (None, unknown) if value is None else (bool(value), yes if value else no)

    return find


def _not(name: str, lacks: str, has: str, unknown: str) -> Callable[[FaultFacts], Found]:
    def find(f: FaultFacts) -> Found:
        value = getattr(f, name)
        return (None, unknown) if value is None else (not value, has if value else lacks)

    return find


def _kiln(which: str) -> Callable[[FaultFacts], Found]:
    def find(f: FaultFacts) -> Found:
        if not f.kiln:
            return None, "what the control tile says of the kiln"
        return f.kiln == which, f.kiln_words or f"the control tile says the kiln is {f.kiln}"

    return find


def _metal(f: FaultFacts) -> str:
    """Return the name of the metal as it is said: brass, not its number."""
    return " ".join(word for word in f.metal.replace("_", " ").casefold().split() if word.isalpha())


def _gassing(f: FaultFacts) -> Found:
    name = _metal(f)
    if any(one in name for one in _GASSING):
        return True, f"{name} gives off gas"
    if name in _QUIET:
        return False, f"{name} gives off no gas"
    return None, f"whether {name} gives off gas" if name else "which metal it is"


def _bare_copper(f: FaultFacts) -> Found:
    name = _metal(f)
    return (name == "copper", f"the metal is {name}") if name else (None, "which metal it is")


def _silver_wires(f: FaultFacts) -> Found:
    if not f.wires:
        return None, "which wires it has"
    if f.wires == NO_WIRES:
        return False, "there are no wires on it"
    return "silver" in f.wires, f"wires of {f.wires}"


def _thickness(name: str, more: bool) -> Callable[[FaultFacts], Found]:
    def find(f: FaultFacts) -> Found:
        if f.metal_thickness is None:
            return None, "how thick the metal is"
        thick = f.metal_thickness > limit(name) if more else f.metal_thickness < limit(name)
        return thick, f"the metal is {units.show(f.metal_thickness, 'length', 'mm')} thick"

    return find


def _hot_place(f: FaultFacts) -> Found:
    where = f.place.casefold()
    if where in _MIDDLE:
        return (False, "it stood in the middle") if where else (None, "where in the kiln it stood")
    return True, f"it stood at {f.place}, not in the middle"


def _warm_on_bare(f: FaultFacts) -> Found:
    if f.warm_on_bare:
        return True, "a warm colour was laid on bare copper"
    if f.verdicts is None and f.warm_on_bare is not None:
        return False, "no warm colour was laid on bare copper"
    return _rule("BAR-WARM", words="the plan warns of a warm colour on bare copper")(f)


def _again(f: FaultFacts) -> Found:
    if f.fired_again is None:
        return None, "how often it was fired again"
    if f.fired_again == 0:
        return False, "this was the first firing of its colour"
    often = {1: "once", 2: "twice"}.get(f.fired_again, f"{f.fired_again} times")
    return f.fired_again >= limit("refired"), f"its colour was fired again {often}"


_SIGNS: dict[str, Callable[[FaultFacts], Found]] = {
    "not dry": _not_dry,
    "strong gum": _gum,
    "no gum": _no_gum,
    "thick coat": lambda f: _depth(f, "DEPTH-HIGH", limit("thick"), True),
    "thin coat": lambda f: _depth(f, "DEPTH-LOW", limit("thin"), False),
    "much glass": _rule("GLASS-HALF", words="the plan warns of much glass for the metal"),
    "uneven faces": _uneven,
    "bare back": _bare_back,
    "expansion order": _rule("ORD-EXP", words="the plan warns of the order of expansion"),
    "hard over soft": _rule("ORD-HARD", words="the plan warns of a hard glass over a soft one"),
    "strained glass": _rule(*sorted(_STRAIN), words="the plan warns of strain in the glass"),
    "bow foretold": _rule("FLAT-BOW", words="the plan warns of bow"),
    "leaded below lead-free": _told(
        "leaded_below", "lead-free glass lies over leaded glass", "no lead-free glass lies over leaded glass",
        "whether leaded glass lies below lead-free glass",
    ),
    "short": _short,
    "overheated": _overheated,
    "first coat short": _first_short,
    "cold start": _cold_start,
    "counted otherwise": _counted,
    "many fines": _lot("many fines"),
    "damp": _lot("damp"),
    "mixed lot": _mixed,
    "not washed": _not_washed,
    "old lot": _old,
    "coarse powder": lambda f: (
        (None, "which sieve it was laid through") if f.mesh is None
        else (f.mesh <= limit("coarse"), f"laid through {f.mesh} mesh")
    ),
    "cooled fast": lambda f: (
        (None, "how it cooled") if not f.cooled
        else (f.cooled == "quenched", f"cooled {f.cooled}" if f.cooled != "quenched" else "it was quenched")
    ),
    "heavy furniture": lambda f: (
        (None, "what it stood on") if not f.support else ("heavy" in f.support.casefold(), f"support: {f.support}")
    ),
    "hot place": _hot_place,
    "kiln hotter": _kiln("hotter"),
    "kiln colder": _kiln("colder"),
    "fired again often": _again,
    "warm on bare metal": _warm_on_bare,
    "warm on silver": _rule("BAR-WARM-AG", words="the plan warns of a pale or warm colour on silver"),
    "gold short of time": _rule("GOLD-TIME", words="the plan warns that a gold colour wants time"),
    "flux too hot for silver": _rule("FLUX-AG", words="the plan warns that flux on silver is fired too hot"),
    "silver touches copper": _rule("CON-AGCU", words="the plan warns that silver touches copper"),
    "glass on the support": _rule("SUPPORT-WET", words="the plan warns of glass on the support"),
    "not degreased": _not("cleaned", "the metal was not degreased before", "the metal was degreased before the coat",
                          "whether the metal was degreased until water ran over it in one film"),
    "not rinsed": _not("rinsed", "pickle or flux was not boiled out", "pickle and flux were boiled out and rinsed off",
                       "whether it was pickled or soldered, then boiled out in soda and rinsed"),
    "silver wires": _silver_wires,
    "bare copper": _bare_copper,
    "gassing metal": _gassing,
    "thick metal": _thickness("thick_metal", True),
    "thin metal": _thickness("thin_metal", False),
    "foil": _told("foil", "there is foil in it", "there is no foil in it", "whether there is foil in it"),
    "solder": _told("solder", "it has a soldered joint", "it has no soldered joint", "whether it has a soldered joint"),
    "formed": _told(
        "formed", "formed and not annealed after", "not formed, or annealed after it",
        "whether it was annealed after forming",
    ),
    "torch": _told("torch", "fired with a torch", "fired in a kiln", "how it was fired"),
    "stoned": _told("stoned", "it was stoned before", "it was not stoned before", "whether it was stoned before"),
    "pickled after glass": _told(
        "pickled", "it was pickled with glass on it", "it was not pickled with glass on it",
        "whether it was pickled with glass on it",
    ),
    "mishap": lambda f: (
        (True, f"in this firing: {', '.join(f.in_hand)}") if f.in_hand else (None, "whether it was knocked or dropped")
    ),
}  # fmt: skip

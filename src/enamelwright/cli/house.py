"""`enamelwright rules`, `hands`, `support`, `exposure`: how this house works, what it owns, what people breathed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from enamelwright.cli.at_bench import at_bench, day_of, grams, listing, local, say, with_unit
from enamelwright.cli.options import AtOption, HomeOption, JsonOption, WhoOption, WordsOption
from enamelwright.errors import InputError

if TYPE_CHECKING:
    from enamelwright.craft.bench import Hands, HouseRules

rules = typer.Typer(help="House rules: which way this house goes where houses differ.", no_args_is_help=True)
hands = typer.Typer(help="Hands: how this maker lays powder.", no_args_is_help=True)
support = typer.Typer(help="Supports the house owns.", no_args_is_help=True)
exposure = typer.Typer(help="Dust, fumes and the open door.", no_args_is_help=True)

RulesArgument = Annotated[
    list[str],
    typer.Argument(
        help='bow_limit="0.3 mm" (over 25 mm), back_to_front=1, gum_ratio=0.1, first_side=back, pickle=no, '
        "hottest=850C; nothing after the sign forgets one."
    ),
]
HandsArgument = Annotated[
    list[str],
    typer.Argument(
        help="packing=0.5, sifting_loss=0.2, balance_step=0.01g, weighs=no; nothing after the sign forgets."
    ),
]
SinceOption = Annotated[str, typer.Option("--since", help="First day; the last thirty days when left out.")]
UntilOption = Annotated[str, typer.Option("--until", help="Last day; today when left out.")]
#: How a unit at the end of a name is written, where it is written otherwise.
_UNITS = {"c": "°C"}
#: Days that are listed when none are named.
USUAL_SPAN = 30


@rules.command("set")
def set_rules(told: RulesArgument, home: HomeOption = None, who: WhoOption = "") -> None:
    """Set house rules."""
    from enamelwright.craft.bench import HouseRules
    from enamelwright.workshop.settings import house_rules, set_house_rules

    with at_bench(home, who) as studio, studio.writing():
        old = house_rules(studio)
        set_house_rules(studio, HouseRules.from_outside(_changed(old, told), "house rules"))
    say("House rules are set.")


@rules.command("show")
def show_rules(json_: JsonOption = False, home: HomeOption = None) -> None:
    """Show the house rules; a dash means the product's own."""
    from enamelwright.workshop.settings import house_rules

    with at_bench(home) as studio:
        found = house_rules(studio)
    listing(("rule", "value"), _shown(found), json_)


@hands.command("set")
def set_hands_(told: HandsArgument, home: HomeOption = None, who: WhoOption = "") -> None:
    """Set how this maker lays powder."""
    from enamelwright.craft.bench import Hands
    from enamelwright.workshop.settings import hands as hands_of
    from enamelwright.workshop.settings import set_hands

    with at_bench(home, who) as studio, studio.writing():
        old = hands_of(studio)
        set_hands(studio, Hands.from_outside(_changed(old, told), "hands"))
    say("Hands are set.")


@hands.command("show")
def show_hands(json_: JsonOption = False, home: HomeOption = None) -> None:
    """Show how this maker lays powder; a dash means the product's own."""
    from enamelwright.workshop.settings import hands as hands_of

    with at_bench(home) as studio:
        found = hands_of(studio)
    listing(("of the hand", "value"), _shown(found), json_)


def _changed(old: HouseRules | Hands, told: list[str]) -> dict[str, Any]:
    """Put what was told over what stands, each as a file would write it."""
    values: dict[str, Any] = dict(old.to_outside())
    for text in told:
        name, sign, value = text.partition("=")
        key = name.strip().replace("-", "_").replace(" ", "_")
        if not sign or not key:
            raise InputError(f"'{text[:60]}' sets nothing.", "Write it like pickle=no.")
        if key not in type(old).model_fields:
            known = ", ".join(type(old).model_fields)
            raise InputError(f"'{key[:60]}' is nothing that can be set here.", f"Choose one of: {known}.")
        values = {k: v for k, v in values.items() if k != key and not k.startswith(f"{key}_")}
        if value.strip():
            values[key] = value.strip()
    return values


def _shown(found: HouseRules | Hands) -> list[tuple[str, Any]]:
    told = found.to_outside()
    rows: list[tuple[str, Any]] = []
    for name in type(found).model_fields:
        key = next((key for key in told if key == name or key.startswith(f"{name}_")), name)
        value = told.get(key)
        if isinstance(value, bool):
            value = "yes" if value else "no"
        elif key != name:
            value = f"{value:g} {_UNITS.get(key.removeprefix(f'{name}_'), key.removeprefix(f'{name}_'))}"
        rows.append((name, value))
    return rows


@support.command("keep")
def keep_(
    name: Annotated[str, typer.Argument(help="What it is called at the bench.")],
    kind: Annotated[str, typer.Argument(help="mesh, trivet, plate and so on.")],
    owned: Annotated[int | None, typer.Option("--owned", min=0, help="How many there are.")] = None,
    mass: Annotated[str, typer.Option("--grams", help="What one weighs.")] = "",
    width: Annotated[str, typer.Option("--width", help="Millimetres.")] = "",
    length: Annotated[str, typer.Option("--length", help="Millimetres.")] = "",
    height: Annotated[str, typer.Option("--height", help="Millimetres.")] = "",
    note: WordsOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Keep a support."""
    from enamelwright.workshop.kilns import keep_support

    with at_bench(home, who) as studio:
        keep_support(
            studio, name, kind, owned=owned, mass=with_unit(mass, "g"), width=with_unit(width, "mm"),
            length=with_unit(length, "mm"), height=with_unit(height, "mm"), words=note or None,
        )  # fmt: skip
    say(f"Kept: {name}, a {kind}.")


@support.command("washed")
def washed(
    name: Annotated[str, typer.Argument(help="What it is called at the bench.")],
    on: Annotated[str, typer.Option("--on", help="Day; today when left out.")] = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say that a support got a new coat of kiln wash."""
    from enamelwright.workshop.kilns import change_support

    with at_bench(home, who) as studio:
        change_support(studio, name, washed_on=day_of(on, "--on") or studio.today())
    say(f"{name} is washed anew.")


@support.command("list")
def supports_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the supports."""
    from enamelwright.workshop.kilns import supports

    with at_bench(home) as studio:
        rows = [(row.name, row.kind, row.owned, grams(row.mass), row.washed_on) for row in supports(studio)]
    listing(("support", "kind", "owned", "grams", "washed"), rows, json_, "No support is kept yet.")


@exposure.command("add")
def expose_(
    work: Annotated[
        str,
        typer.Argument(
            help="sifting, dry brushing, dry sanding, wet stoning, open door, pickle, etching or other. "
            "Sifted coats need none: they tell by themselves."
        ),
    ],
    minutes: Annotated[str, typer.Option("--minutes", help="How long.")] = "",
    mass: Annotated[str, typer.Option("--grams", help="Grams handled.")] = "",
    looks: Annotated[int | None, typer.Option("--looks", min=0, help="Looks through the open door.")] = None,
    wet: Annotated[bool | None, typer.Option("--wet/--dry", help="Whether it was kept wet.")] = None,
    mask: Annotated[str, typer.Option("--mask", help="What was worn.")] = "",
    extraction: Annotated[str, typer.Option("--extraction", help="What drew the air away.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Write down what somebody was exposed to."""
    from enamelwright.workshop.exposure import expose

    with at_bench(home, who, at) as studio:
        expose(
            studio, work, duration=with_unit(minutes, "min"), grams=with_unit(mass, "g"),
            looks=None if looks is None else float(looks), wet=wet, mask=mask or None, extraction=extraction or None,
            words=note or None,
        )  # fmt: skip
    say(f"Written down: {work}. What is allowed is said by your local rules and the safety data sheets.")


@exposure.command("list")
def exposures_(
    since: SinceOption = "", until: UntilOption = "", json_: JsonOption = False, home: HomeOption = None
) -> None:
    """List what was written down, and the grams sifted as the coats tell."""
    from datetime import datetime, time, timedelta

    from enamelwright.records.writing import moment
    from enamelwright.workshop.exposure import exposures, sifted
    from enamelwright.workshop.people import people
    from enamelwright.workshop.typed import as_typed

    with at_bench(home) as studio:
        last = day_of(until, "--until") or studio.today()
        first = day_of(since, "--since") or last - timedelta(days=USUAL_SPAN)
        span = tuple(moment(datetime.combine(day, time()).astimezone()) for day in (first, last + timedelta(days=1)))
        labels = {row.id: row.label for row in people(studio)}
        rows = [
            (
                local(row.at), labels.get(row.person), row.work, as_typed(row, "duration", "min"), grams(row.grams),
                row.looks, row.mask,
            )
            for row in exposures(studio, *span)
        ]  # fmt: skip
        powder: dict[int | None, float] = {}
        for one in sifted(studio, *span):
            powder[one.person] = powder.get(one.person, 0.0) + one.grams
    listing(("when", "who", "work", "how long", "grams", "looks", "mask"), rows, json_, "Nothing was written down.")
    if not json_:
        for person, mass in powder.items():
            say(f"{labels.get(person) or 'Somebody'} sifted or sprayed {grams(mass)} from {first} to {last}.")

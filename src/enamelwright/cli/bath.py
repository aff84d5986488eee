"""`enamelwright bath`: how far pickle is used, what one more load does, what may be done when it is spent, waste."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from enamelwright.cli.at_bench import at_bench, day_of, grams, listing, local, say, with_unit
from enamelwright.cli.options import AtOption, HomeOption, JsonOption, WhoOption, WordsOption

if TYPE_CHECKING:
    from enamelwright.questions.spent_bath import SpentBathAnswer

bath = typer.Typer(help="Pickle baths and etching liquors, and waste.", no_args_is_help=True)

BathArgument = Annotated[str, typer.Argument(help="Name of the bath.")]


@bath.command("open")
def open_(
    name: BathArgument,
    kind: Annotated[str, typer.Option("--kind", help="pickle, etching liquor or rinse.")] = "pickle",
    made: Annotated[
        str,
        typer.Option(
            "--made",
            help='"vinegar and salt", "citric acid", "sodium bisulfate", "dilute sulfuric acid", "abrasive only", '
            '"ferric chloride", "nitric acid" or other.',
        ),
    ] = "",
    volume: Annotated[str, typer.Option("--volume", help="How much, e.g. 1L.")] = "",
    strength: Annotated[str, typer.Option("--strength", help='Off the bottle, e.g. "5 %" or "50 g/L".')] = "",
    acid: Annotated[str, typer.Option("--acid", help="Or dry acid weighed in [g].")] = "",
    salt: Annotated[str, typer.Option("--salt", help="Salt weighed in [g].")] = "",
    recipe: Annotated[str, typer.Option("--recipe", help="What it was made of, in words.")] = "",
    note: WordsOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Make up a bath."""
    from enamelwright.craft.baths.bath_made import chemistry_named, record_kind
    from enamelwright.workshop.bath_ledger import made_of
    from enamelwright.workshop.baths import open_bath

    kept = None
    if made:
        told = {"strength": strength, "acid": with_unit(acid, "g"), "salt": with_unit(salt, "g"), "volume": volume}
        found = chemistry_named(made)
        kept, kind = made_of({"kind": found.kind, **told}), record_kind(found.kind)
    with at_bench(home, who) as studio:
        open_bath(studio, name, kind, volume=volume or None, recipe=recipe or None, words=note or None, made_of=kept)
    say(f"{name} is made up. Acid into water, never water into acid; follow its safety data sheet.")


@bath.command("note")
def note_(
    name: BathArgument,
    what: Annotated[
        str, typer.Argument(help="dip, top up, acidity, colour, temperature, drawn off, spill, settled or other.")
    ] = "dip",
    piece: Annotated[str, typer.Option("--piece", help="What was dipped.")] = "",
    pieces: Annotated[int | None, typer.Option("--pieces", help="How many were dipped.")] = None,
    area: Annotated[str, typer.Option("--area", help='Bare copper, all faces, e.g. "60 cm2".')] = "",
    before: Annotated[str, typer.Option("--before", help="Grams before, all together.")] = "",
    after: Annotated[str, typer.Option("--after", help="Grams after.")] = "",
    ph: Annotated[float | None, typer.Option("--ph", help="Acidity as read.")] = None,
    mass: Annotated[str, typer.Option("--grams", help="Grams added or taken.")] = "",
    volume: Annotated[str, typer.Option("--volume", help="How much, e.g. 200mL.")] = "",
    minutes: Annotated[str, typer.Option("--minutes", help="How long until it was clear.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record a dip, a top-up, a reading or a spill."""
    from enamelwright.workshop.baths import note_bath

    with at_bench(home, who, at) as studio:
        note_bath(
            studio, name, what, piece=piece or None, pieces=pieces, ph=ph, mass=with_unit(mass, "g"),
            volume=volume or None, duration=with_unit(minutes, "min"), copper_area=area or None,
            before=with_unit(before, "g"), after=with_unit(after, "g"), words=note or None,
        )  # fmt: skip
    say(f"{name}: {what}.")


@bath.command("met")
def met_(
    name: BathArgument,
    met: Annotated[
        list[str] | None,
        typer.Argument(help='lead, cadmium, silver, chromium, nickel, "unknown enamel"; nothing says none of these.'),
    ] = None,
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say what enamel or silver a bath has met; with nothing named, that it met none of these."""
    from enamelwright.craft.baths.bath_made import METALS
    from enamelwright.errors import UnknownName
    from enamelwright.workshop.baths import tell_met

    said = [one.strip().casefold() for one in met or []]
    for one in said:
        if one not in METALS:
            raise UnknownName.among("thing a bath is asked about", one, METALS)
    with at_bench(home, who) as studio:
        tell_met(studio, name, said)
    say(f"{name} has met {', '.join(said) or 'none of lead, cadmium, silver, chromium, nickel, unknown enamel'}.")


@bath.command("show")
def show_(
    name: BathArgument,
    area: Annotated[str, typer.Option("--area", help='Bare copper of the next load, e.g. "60 cm2".')] = "",
    loads: Annotated[int, typer.Option("--loads", min=1, help="How many such loads.")] = 1,
    json_: JsonOption = False,
    home: HomeOption = None,
) -> None:
    """Show how far a bath is used, and what the next load does."""
    from enamelwright.craft.baths.bath_words import SCREENING, acidity_words, between
    from enamelwright.questions.question import question
    from enamelwright.workshop.bath_ledger import asked_of, book_of
    from enamelwright.workshop.bench import bench

    with at_bench(home) as studio:
        found = book_of(studio, name)
        more: dict[str, Any] = {"next_load": {"area": area}} if area else {}
        if loads > 1:
            more["loads_to_come"] = loads
        payload = question("bath").ask(asked_of(found, **more), bench(studio)).payload
    rows = []
    for when, state in (("now", payload.now), ("after the next load" if loads == 1 else "after them", payload.after)):
        if state is not None:
            taken = between(state.taken_up, "%") if state.taken_up is not None else "not counted"
            ph = acidity_words(state.ph) if state.ph is not None else "not counted"
            rows.append((when, state.state, state.at_worst, taken, ph, between(state.copper, "g/L")))
    listing(("when", "state", "at worst", "acid taken up", "acidity", "copper"), rows, json_)
    if not json_:
        for line in found.state.why:
            say(line)
        for line in found.book.assumptions:
            say(f"Taken as given: {line}.")
        say(SCREENING)


@bath.command("spent")
def spent_(
    name: BathArgument,
    allowed: Annotated[
        bool | None, typer.Option("--allowed/--not-allowed", help="What a waste officer said about settling it.")
    ] = None,
    soda: Annotated[str, typer.Option("--soda", help='"soda ash", "soda crystals" or "baking soda".')] = "soda ash",
    json_: JsonOption = False,
    home: HomeOption = None,
) -> None:
    """Say what may be done with a spent bath, and what never."""
    import json

    from enamelwright.questions.question import question
    from enamelwright.workshop.bath_ledger import asked_of, book_of
    from enamelwright.workshop.bench import bench

    with at_bench(home) as studio:
        asked = asked_of(book_of(studio, name), soda=soda)
        if allowed is not None:
            asked["local_rules_allow"] = allowed
        answer = question("spent-bath").ask(asked, bench(studio))
    if json_:
        say(json.dumps(answer.to_json(), ensure_ascii=False, indent=1))
        return
    for line in _told(answer.payload, soda):
        say(line)
    say(answer.cautions[0])


def _told(found: SpentBathAnswer, soda: str) -> list[str]:
    from enamelwright.craft.baths.bath_words import about, acidity_words, between

    lines = [found.route.capitalize() + ".", *(f"- {one}" for one in found.held_because), found.next_step]
    if found.settling is not None:
        one = found.settling
        lines += [
            f"{about(one.soda, 'g')} of {soda} in small spoonfuls, in a vessel of at least {about(one.vessel, 'L')}.",
            f"Copper that stays: {one.left_words}, {acidity_words(one.ph)}.",
            f"Sludge: {between(one.sludge_dry, 'g')} dry.",
        ]
    return [*lines, *(one[0].upper() + one[1:] + "." for one in found.never)]


@bath.command("close")
def close(
    name: BathArgument,
    into: Annotated[str, typer.Option("--into", help="Label of the waste container it went into.")] = "",
    volume: Annotated[str, typer.Option("--volume", help="How much went into it.")] = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Close a bath, and say where it went."""
    from enamelwright.workshop.baths import bath_row, change_bath, into_waste, keep_container, known_container

    with at_bench(home, who) as studio, studio.writing():
        if into:
            if known_container(studio, into) is None:
                made = bath_row(studio, name).made_of or {}
                one = made.get("kind") if not made.get("also") else None  # what is mixed goes by its entry
                keep_container(studio, into, contents=f"spent {one}" if one else None)
            into_waste(studio, into, f"spent {name}", bath=name, volume=volume or None)
        change_bath(studio, name, closed_on=studio.today())
    say(f"{name} is closed{f'; it is in {into}' if into else ''}.")
    say("Spent baths hold metal salts: hand them in as your local rules for waste say.")


@bath.command("hand-in")
def hand_in_(
    label: Annotated[str, typer.Argument(help="As written on the container.")],
    to: Annotated[str, typer.Option("--to", help="Who took it.")],
    on: Annotated[str, typer.Option("--on", help="Day; today when left out.")] = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say that a waste container was handed in."""
    from enamelwright.workshop.baths import hand_in

    with at_bench(home, who) as studio:
        hand_in(studio, label, to, day_of(on, "--on") if on else None)
    say(f"{label} is handed in to {to}.")


@bath.command("never")
def never_() -> None:
    """List what never comes together."""
    from enamelwright.craft.baths.bath_made import never_mix

    listing(("this", "with this", "gives"), [(one.one, one.other, one.gives) for one in never_mix()], False)


@bath.command("list")
def baths_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the open baths and waste containers."""
    from enamelwright.units import show
    from enamelwright.workshop.baths import baths, containers

    with at_bench(home) as studio:
        rows = [(row.name, row.kind, row.opened_on, row.dips) for row in baths(studio)]
        waste = [
            (row.label, row.contents, grams(row.mass), show(row.volume, "volume", "L") if row.volume else None)
            for row in containers(studio)
        ]
    listing(("bath", "kind", "opened", "dips"), rows, json_, "No bath is open.")
    if waste and not json_:
        listing(("container", "holds", "grams", "volume"), waste)


@bath.command("log")
def log_(name: BathArgument, json_: JsonOption = False, home: HomeOption = None) -> None:
    """Show the ledger of a bath: each entry, the scale it brought, and the acid taken up by then."""
    from enamelwright.craft.baths.bath_words import about, rounded
    from enamelwright.workshop.bath_ledger import book_of

    with at_bench(home) as studio:
        found = book_of(studio, name)
    rows = [
        (
            local(line.entry.at), line.entry.what, about(line.scale, "g") if line.scale else None, line.how or None,
            f"{rounded(100 * line.taken_up)} %" if line.taken_up is not None else None,
        )
        for line in found.lines
    ]  # fmt: skip
    listing(("when", "what", "scale", "known by", "acid by then"), rows, json_, "Nothing has happened in it.")

"""`enamelwright open`, `find`, `differs`, `history`, `correct`: look into the record, and put it right."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from enamelwright.cli.asking import ReallyOption, asks_back
from enamelwright.cli.at_bench import at_bench, day_of, grams, listing, local, say, say_json
from enamelwright.cli.options import HomeOption, JsonOption, WhoOption
from enamelwright.errors import InputError

NounArgument = Annotated[str, typer.Argument(help="coat, load, fault, measure, piece, jar, lot, payment ...")]
WhichArgument = Annotated[str, typer.Argument(help="Its row; of a load or piece the number.")]


def open_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """Say what is open: in the kiln, on the bench, owed, running out."""
    from enamelwright.workshop.money import show_money
    from enamelwright.workshop.open_work import open_work

    with at_bench(home) as studio:
        work = open_work(studio)
        owing = [(one.order, show_money(studio, one.minor, one.currency)) for one in work.owing]
        today = studio.today().isoformat()
    if json_:
        say_json(
            {
                "loads": [{"load": row.number, "since": row.at, "pieces": pieces} for row, pieces in work.loads],
                "pieces": [row.number for row in work.pieces],
                "coats to fire": len(work.to_fire),
                "faults": [{"piece": row.number, "fault": row.fault} for row in work.faults],
                "orders": [{"order": row.number, "due": row.due_on, "state": row.state} for row in work.orders],
                "owing": [{"order": row.number, "to pay": owed} for row, owed in owing],
                "buy": [code for code, _, _ in work.buy],
            }
        )
        return
    for row, pieces in work.loads:
        say(f"In the kiln since {local(row.at)}: load {row.number} with {', '.join(pieces)}.")
    if work.to_fire:
        say(f"{len(work.to_fire)} {'coat is' if len(work.to_fire) == 1 else 'coats are'} laid and not fired.")
    listing(
        ("piece", "label", "kind", "started"),
        ((row.number, row.label, row.kind, row.started_on) for row in work.pieces), none="No piece is in work.",
    )  # fmt: skip
    for row in work.faults:
        say(f"{row.number}: {row.fault}, not healed.")
    for row in work.orders:
        late = " OVERDUE" if row.due_on and row.due_on < today else ""
        say(f"Order {row.number} {row.brief or ''}: {row.state}{f', due {row.due_on}' if row.due_on else ''}{late}.")
    for order, owed in owing:
        say(f"Order {order.number} {order.brief or ''}: {order.state}, {owed} to pay.")
    for code, name, left in work.buy:
        say(f"Buy {code} {name}: {grams(left)} left.")


def find(
    words: Annotated[list[str] | None, typer.Argument(help="Numbers, labels, words, a day or a month.")] = None,
    family: Annotated[str, typer.Option("--colour", help="Colour family.")] = "",
    metal: Annotated[str, typer.Option("--metal", help="Metal of a piece or a sheet.")] = "",
    since: Annotated[str, typer.Option("--since", help="First day.")] = "",
    until: Annotated[str, typer.Option("--until", help="Last day.")] = "",
    json_: JsonOption = False,
    home: HomeOption = None,
) -> None:
    """Find anything by number, word, colour, metal or date; all of it must hold."""
    from enamelwright.workshop.find import find as look

    with at_bench(home) as studio:
        found = look(
            studio, " ".join(words or ()), family=family, metal=metal, since=day_of(since, "--since"),
            until=day_of(until, "--until"),
        )  # fmt: skip
    rows = [(one.kind, one.name, one.words, local(one.at) if "T" in one.at else one.at) for one in found]
    listing(("what", "name", "told", "when"), rows, json_, "Nothing was found.")


def differs(
    piece: Annotated[str, typer.Argument(help="Number or label.")],
    firing: Annotated[int | None, typer.Option("--firing", min=1, help="Which firing; the next when left out.")] = None,
    json_: JsonOption = False,
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say what differs today from the last good firing of this design."""
    from dataclasses import asdict

    from enamelwright.workshop.differs import what_differs

    with at_bench(home, who) as studio:
        told = what_differs(studio, piece, firing)
    if json_:
        say_json(asdict(told))
        return
    if told.why_none:
        say(f"{told.piece}, firing {told.firing}: {told.why_none}.")
        return
    say(
        f"{told.piece}, firing {told.firing}, against {told.good_piece}, "
        f"load {told.good_load} of {local(told.good_at)}:"
    )
    listing(
        ("what", "then", "now", "may move the first gloss", "as told by"),
        ((one.what, one.then, one.now, one.matters.words, one.matters.by or "-") for one in told.differs),
        none="Nothing differs.",
    )
    for line in told.lots:
        say(f"{line}.")
    if told.same:
        say(f"The same: {', '.join(told.same)}.")
    if told.not_known:
        say(f"Not known of one of them: {', '.join(told.not_known)}.")


def history(
    noun: NounArgument,
    which: WhichArgument,
    json_: JsonOption = False,
    home: HomeOption = None,
) -> None:
    """Show every state a record was in, who wrote it and why."""
    from enamelwright.workshop.history import states, value_words

    with at_bench(home) as studio:
        found = states(studio, noun, which)
    rows = []
    for n, state in enumerate(found):
        changes = "; ".join(
            f"{name.replace('_', ' ')}: {value_words(noun, name, a)} -> {value_words(noun, name, b)}"
            for name, (a, b) in state.changed.items()
        )
        what = "withdrawn" if state.withdrawn else changes or ("as first written" if n == 0 else "the same again")
        rows.append((state.row, local(state.written_at), state.who, what, state.why))
    listing(("row", "written", "who", "what", "why"), rows, json_, "There is no such record.")


def correct(
    noun: NounArgument,
    which: WhichArgument,
    changes: Annotated[
        list[str] | None, typer.Argument(help="What it should say: seconds=190, stage=gloss, set=785C.")
    ] = None,
    why: Annotated[str, typer.Option("--why", help="The reason; it stays in the history.")] = "",
    withdraw_: Annotated[bool, typer.Option("--withdraw", help="It never happened.")] = False,
    really: ReallyOption = False,
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Put a record right by a new row; the old one stays and can be shown."""
    from enamelwright.workshop.history import correct as put_right
    from enamelwright.workshop.history import noun_table, withdraw

    told: dict[str, Any] = {}
    kept = False
    for text in changes or ():
        name, sign, value = text.partition("=")
        if not sign or not name.strip():
            raise InputError(f"'{text[:60]}' says no field.", "Write it like seconds=190s.")
        told[name.strip().replace("-", "_").replace(" ", "_")] = value.strip()
    if withdraw_ and told:
        raise InputError("it is withdrawn or corrected, not both.", "Leave one out.")
    with at_bench(home, who) as studio:
        if withdraw_:
            kept = noun_table(noun).info["kind"] == "kept"
            withdraw(studio, noun, which, why)
        else:
            with asks_back():
                put_right(studio, noun, which, why, really=really, **told)
    if kept:
        say(f"{noun} {which} is put away; what was written of it stays: history {noun} {which}")
        return
    say(f"{noun} {which} is {'withdrawn' if withdraw_ else 'corrected'}; the old state stays: history {noun} {which}")

"""Invented days of a small workshop, to try the engine on: three designs, one kiln, one or two people.

All minutes, sizes and dates are made up. The room of the rack is its area, which is no rule for real shelves
but makes the numbers plain. Tests, benchmarks and the documentation use the same days.
"""

from __future__ import annotations

from collections.abc import Sequence

from enamelwright.planning.day.calendar import Calendar
from enamelwright.planning.day.problem import Family, Kiln, Person, Piece, Problem, Station, Step

#: Half-minute ticks of a day from midnight to midnight.
DAY = 2880
#: Hours 09:00 to 12:30 and 13:00 to 17:00; nights are cut to an hour.
HOURS, CUT = ((1080, 1500), (1560, 2040)), 120
#: More days than any drill needs.
DAYS = 120
HARD, MIDDLE, SOFT, FLASH = range(4)
#: Recovery, ticks a kelvin up and down, and ticks from cold.
RECOVERY, UP, DOWN, COLD = 4, 0.2, 0.4, 94
#: A rack of 150 mm square and footprints of 45, 50 and 55 mm, as areas in mm2; and as counts 9, 9, 5 in 45ths.
RACK, AREAS = 22500, (2025, 2500, 3025)
TABLE_RACK, TABLE_SIZES = 45, (5, 5, 9)
FAMILIES = (
    Family("830 C", 1103.15),
    Family("790 C", 1063.15),
    Family("760 C", 1033.15),
    Family("790 C, short", 1063.15),
)


def _bench(length: int, wait: int = 0) -> Step:
    return Step(length, wait)


def _fire(family: int, length: int, shape: int, wait: int) -> Step:
    return Step(length, wait, family=family, shape=shape)


ROUTES: dict[str, tuple[Step, ...]] = {
    "disc25": (
        _bench(12), _bench(3, 10), _fire(HARD, 6, 0, 12), _bench(14), _bench(4, 10), _fire(MIDDLE, 6, 0, 12),
        _bench(10),
    ),
    "disc32": (
        _bench(12), _bench(4, 10), _fire(HARD, 6, 1, 12), _bench(16), _bench(4, 10), _fire(MIDDLE, 6, 1, 12), _bench(6),
        _bench(6, 10), _fire(SOFT, 5, 1, 12), _bench(10),
    ),
    "wet40": (
        _bench(16), _bench(4, 10), _fire(HARD, 6, 2, 16), _bench(18), _bench(30, 24), _fire(MIDDLE, 6, 2, 16),
        _bench(4),
        _bench(20, 24), _fire(MIDDLE, 6, 2, 16), _bench(24, 6), _fire(FLASH, 3, 2, 12), _bench(8),
    ),
}  # fmt: skip

#: (design, how many, wanted by the end of this day) of each drill, and how many people.
ORDERS: dict[str, tuple[int, tuple[tuple[str, int, int], ...]]] = {
    "12, one person": (1, (("disc25", 6, 1), ("disc32", 2, 1), ("disc32", 2, 2), ("wet40", 2, 1))),
    "12, two people": (2, (("disc25", 6, 1), ("disc32", 4, 1), ("wet40", 2, 1))),
    "36, one person": (
        1,
        (("disc25", 2, 2), ("disc25", 3, 3), ("disc25", 13, 4), ("disc32", 8, 2), ("disc32", 3, 3), ("wet40", 6, 2),
         ("wet40", 1, 3)),
    ),
    "100, one person": (
        1,
        (("disc25", 7, 1), ("disc25", 24, 2), ("disc25", 6, 3), ("disc25", 6, 6), ("disc25", 7, 9), ("disc32", 8, 3),
         ("disc32", 8, 4), ("disc32", 6, 5), ("disc32", 6, 7), ("disc32", 2, 9), ("wet40", 5, 5), ("wet40", 3, 6),
         ("wet40", 2, 7), ("wet40", 6, 8), ("wet40", 4, 9)),
    ),
    "100, two people": (
        2,
        (("disc25", 31, 1), ("disc25", 6, 2), ("disc25", 6, 3), ("disc25", 7, 5), ("disc32", 16, 2), ("disc32", 6, 3),
         ("disc32", 6, 4), ("disc32", 2, 5), ("wet40", 8, 3), ("wet40", 8, 4), ("wet40", 4, 5)),
    ),
}  # fmt: skip
#: Three of the hundred, each date three times as far.
ORDERS["300, one person"] = (
    1, tuple((design, 3 * count, 3 * day) for design, count, day in ORDERS["100, one person"][1]),
)  # fmt: skip


def drill(name: str, table: bool = False) -> Problem:
    """Return one of the invented days.

    Parameters
    ----------
    name : str
        A key of :data:`ORDERS`.
    table : bool
        Whether the room of the rack is counted by footprints that fit instead of by area.
    """
    people, orders = ORDERS[name]
    pieces = [
        Piece(f"{design} {number + 1}, day {day}", ROUTES[design], due=(day - 1) * DAY + HOURS[-1][1], design=design)
        for design, count, day in orders
        for number in range(count)
    ]
    return workshop(pieces, people, table)


def workshop(pieces: list[Piece], people: int = 1, table: bool = False) -> Problem:
    """Put pieces into the invented workshop.

    Parameters
    ----------
    pieces : list of Piece
        With routes of :data:`ROUTES`.
    people : int
        How many work.
    table : bool
        As for :func:`drill`.
    """
    return Problem(
        calendar=Calendar.daily(HOURS, DAYS, CUT, DAY),
        pieces=tuple(pieces),
        families=FAMILIES,
        kilns=(
            Kiln(
                "kiln",
                TABLE_RACK if table else RACK,
                TABLE_SIZES if table else AREAS,
                recovery=RECOVERY,
                up=UP,
                down=DOWN,
                cold=COLD,
            ),
        ),
        people=tuple(Person(f"person {n + 1}") for n in range(people)),
    )


#: One window long enough for any published problem.
_ALWAYS = Calendar(((0, 1_000_000),), 0, 1_000_000)


def job_shop(jobs: Sequence[Sequence[Sequence[int]]]) -> Problem:
    """State a job shop: every machine is a station, nobody is needed.

    Parameters
    ----------
    jobs : sequence of sequences of (int, int)
        For each job its operations as (machine, time).
    """
    machines = 1 + max(machine for job in jobs for machine, _ in job)
    return Problem(
        calendar=_ALWAYS,
        pieces=tuple(
            Piece(f"job {n}", tuple(Step(time, hands=False, stations=((machine, 1),)) for machine, time in job))
            for n, job in enumerate(jobs)
        ),
        stations=tuple(Station(f"machine {n}") for n in range(machines)),
    )


def project(means: Sequence[int], activities: Sequence[tuple[int, Sequence[int], Sequence[int]]]) -> Problem:
    """State a project: every activity is a piece of one step, its followers are orders between pieces.

    Parameters
    ----------
    means : sequence of int
        How much there is of each.
    activities : sequence of (int, sequence, sequence)
        Time, use of each of the means, followers.
    """
    return Problem(
        calendar=_ALWAYS,
        pieces=tuple(
            Piece(
                f"activity {n}",
                (Step(time, hands=False, stations=tuple((k, use) for k, use in enumerate(uses) if use)),),
            )
            for n, (time, uses, _) in enumerate(activities)
        ),
        stations=tuple(Station(f"means {n}", capacity) for n, capacity in enumerate(means)),
        after=tuple(((n, 0), (later, 0), 0) for n, (_, _, followers) in enumerate(activities) for later in followers),
    )


def batches(times: Sequence[int], room: int) -> Problem:
    """State one batching machine without families: a load lasts as long as its longest member.

    Parameters
    ----------
    times : sequence of int
        Least time of each piece.
    room : int
        How many share a load.
    """
    return Problem(
        calendar=_ALWAYS,
        pieces=tuple(Piece(f"piece {n}", (Step(time, family=0, hands=False),)) for n, time in enumerate(times)),
        families=(Family("any"),),
        kilns=(Kiln("machine", room),),
    )

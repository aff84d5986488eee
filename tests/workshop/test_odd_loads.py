"""A load that stands far off the others is told with its likeliest reason: an invented kiln, one thing wrong at a time."""

from __future__ import annotations

from datetime import timedelta
from types import SimpleNamespace

import pytest

from enamelwright.craft.kiln import Kiln
from enamelwright.workshop import odd_loads
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.learned_clocks import learn
from enamelwright.workshop.loads import fired
from enamelwright.workshop.odd_loads import LOOK, OddLoad
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.what_was_learned import kilns_learned
from morning import MORNING, enamel

#: First gloss of a base white and of a soft flux at one setting [s]; hands and eyes scatter by a few seconds.
WHITE, SOFT = 170.0, 95.0
SCATTER = (0, 3, -2, 4, -4, 1, -1, 2)


class Bench:
    """Discs fired one by one on days of their own."""

    def __init__(self, studio: Studio) -> None:
        self.studio, self.day = studio, 0
        for code, hardness in (("W1", "hard"), ("S1", "soft")):
            add_jar(studio, enamel(code, code, fusing={"hardness": hardness}))

    def fire(self, jar: str, gloss: float, *, after: float | None = None, set_point: str = "800 C") -> str:
        """Fire a disc of a jar: when it glossed, and after which pause [s]; return the load's number."""
        self.day += after is None
        at = MORNING + timedelta(days=self.day)
        if after is not None:
            at = self.last + timedelta(seconds=after)
        piece = start_pieces(
            self.studio.at(at), metal="copper", thickness="0.9 mm", metal_mass="3.05 g", labels=[f"{jar} {at}"]
        )[0]
        lay_coat(self.studio, piece.id, jar, face="front", powder_depth="0.45 mm", at=at - timedelta(hours=1))
        pulled = 1.05 * gloss
        done = fired(
            self.studio, [piece.id], at=at, set_point=set_point, seconds=f"{pulled} s", stage_seen="gloss",
            to_gloss=f"{gloss} s", start="load", face_up="front",
        )  # fmt: skip
        self.last = at + timedelta(seconds=pulled)
        return done.number

    def usual(self) -> None:
        """Fire eight of each, as they are."""
        for off in SCATTER:
            self.fire("W1", WHITE + off)
            self.fire("S1", SOFT + off / 2)

    def odd(self) -> dict[str, OddLoad]:
        later = self.studio.at(MORNING + timedelta(days=self.day + 1))
        (kiln,) = kilns_learned(later, learn(later))
        return {one.number: one for one in kiln.odd}


@pytest.fixture
def bench(bare: Studio) -> Bench:
    keep_kiln(bare, Kiln(name="small kiln"))
    return Bench(bare)


def test_a_steady_kiln_has_no_odd_load(bench: Bench) -> None:
    bench.usual()
    assert bench.odd() == {}


def test_another_jar_is_named(bench: Bench) -> None:
    bench.usual()
    swapped = bench.fire("W1", SOFT)
    told = bench.odd()[swapped]
    assert str(told) == swapped
    assert "W1 glossed at 95 s" in told.words
    assert "Most likely it was S1, which glosses at about 9" in told.words


def test_a_digit_is_named(bench: Bench) -> None:
    bench.usual()
    short, minutes = bench.fire("W1", 17.0), bench.fire("S1", 1.6)
    told = bench.odd()
    assert "Most likely a digit is missing: 170 s would fit." in told[short].words
    assert "minutes were written down as seconds: 1.6 min would fit" in told[minutes].words


def test_a_setting_at_which_nothing_melts_is_named(bench: Bench) -> None:
    bench.usual()
    cold = bench.fire("W1", WHITE, set_point="80 C")
    told = bench.odd()[cold].words
    assert (
        told == "W1 glossed at 170 s; at that setting its first gloss would take hours. Look whether the setting is "
        "written wrongly."
    )


def test_a_kiln_that_had_not_come_back_is_named(bench: Bench) -> None:
    bench.usual()
    bench.fire("W1", WHITE)
    late = bench.fire("W1", 330.0, after=90)
    told = bench.odd()[late].words
    assert "Most likely the kiln had not come back: it went in 2 min after the load before came out." in told
    # As late after a rest it is not that. The loads around it tell that the kiln has not moved meanwhile.
    bench.fire("W1", WHITE + 1.0)
    rested = bench.fire("W1", 330.0)
    bench.fire("W1", WHITE - 2.0)
    assert "come back" not in bench.odd()[rested].words


def test_a_thermocouple_that_moved_makes_no_load_odd(bench: Bench) -> None:
    """The kiln has jumped, and every load after it stands by the others."""
    bench.usual()
    for off in (0, 3, -2, 4):
        bench.fire("W1", 330.0 + off)
        bench.fire("S1", 185.0 + off)
    assert bench.odd() == {}


@pytest.mark.parametrize(
    ("after", "jumps", "moved"),
    [
        ([2.0, 1.5, 3.0, 0.2], (), True),  # too few yet for a jump, but all to one side
        ([2.0, -1.5, 0.2, 0.1], (), False),
        ([-2.0, -1.5, -3.0], (), False),
        ([2.0], (), False),
        ([], (("kiln", 1.0),), True),
        ([], (("kiln", 30.0), ("other", 0.0)), False),
    ],
)
def test_a_thermocouple_is_named_when_what_follows_is_off_too(
    after: list[float], jumps: tuple[tuple[str, float], ...], moved: bool
) -> None:
    records = [SimpleNamespace(record=n, load=n, kiln="kiln", day=float(n)) for n in range(len(after) + 1)]
    told = odd_loads._moved(SimpleNamespace(jumps=jumps), records[0], records, dict(enumerate([4.0, *after])))  # type: ignore[arg-type]
    assert bool(told) is moved


def test_where_nothing_tells_it_says_what_to_look_at(bench: Bench) -> None:
    bench.usual()
    odd = bench.fire("W1", 420.0)
    assert bench.odd()[odd].words.endswith(LOOK)

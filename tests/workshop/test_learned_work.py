"""Strips and weighings in the record teach the plan: how jars pull at metals, and how each hand lays powder."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest

from morning import MORNING

if TYPE_CHECKING:
    from enamelwright.workshop.studio import Studio

MM = 1e-3
#: A strip of copper 0.8 mm thick, 60 x 12 mm [g].
BARE = 8.96e-3 * 0.8 * 60 * 12


def strip(studio: Studio, label: str, glass: float, *, bow: float | None = None, weighed: bool = True) -> None:
    """Lay, fire and measure a strip with so many grams on its front."""
    from enamelwright.workshop.coats import lay_coat
    from enamelwright.workshop.loads import fired
    from enamelwright.workshop.measures import take_measure
    from enamelwright.workshop.pieces import start_pieces

    piece = start_pieces(
        studio, labels=[label], kind="strip", metal="copper", thickness="0.8 mm", metal_mass=f"{BARE} g"
    )[0].id  # fmt: skip
    more = {"on_piece": f"{glass} g", "weighed_out": f"{glass / 0.9} g"} if weighed else {}
    lay_coat(studio, piece, "J04", face="front", method="sift", mesh=80, **more)
    fired(
        studio,
        [piece],
        set_point="800 C",
        seconds="120 s",
        stage_seen="gloss",
        closed_at=MORNING + timedelta(minutes=5),
    )
    if bow is not None:
        take_measure(studio.at(MORNING + timedelta(hours=1)), piece, "bow", f"{bow / MM} mm", over="50 mm")


def bows_of(studio: Studio, truth: tuple[float, float], *grams: float) -> list[float]:
    """What such strips bow when yield and mismatch are what the truth says."""
    from enamelwright.craft.bow_reading import BowReading
    from enamelwright.craft.coat import Coat
    from enamelwright.craft.glass_of_jar import glass_of
    from enamelwright.craft.piece import Circle, Piece, Sheet
    from enamelwright.workshop.bench import bench

    known = bench(studio)
    density, found = glass_of(known.jar("J04")).density.value, []
    for one in grams:
        coat = Coat(face="front", jar="J04", fired_thickness=one * 1e-3 / (density * 60 * 12 * 1e-6))
        piece = Piece(
            name="s", metal=Sheet(kind="copper", thickness=0.8 * MM),
            outline=Circle(shape="circle", diameter=0.03), coats=(coat,),
        )  # fmt: skip
        reading = BowReading(piece, 0.0, 50 * MM, bench=known)
        found.append(float(reading.bows(np.log([truth]))[0]))
    return found


def test_two_strips_teach_the_pull_of_a_jar_and_plans_use_it(studio: Studio, disc) -> None:  # type: ignore[no-untyped-def]
    from sqlalchemy import select

    from enamelwright.records.schema.learned import posterior
    from enamelwright.records.schema.pieces import measure
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.designs import keep_design, version_row
    from enamelwright.workshop.predictions import plan_of
    from enamelwright.workshop.relearning import relearn

    version = version_row(studio, keep_design(studio, disc).version)
    before = plan_of(studio, version).payload
    grams = (0.20, 0.75, 0.20, 0.75)
    for n, (glass, bow) in enumerate(zip(grams, bows_of(studio, (1.25, 0.97), *grams), strict=True)):
        strip(studio, f"S{n}", glass, bow=bow)
    relearn(studio.at(MORNING + timedelta(hours=2)))
    (taught,) = bench(studio).learned_bows
    assert (taught.metal, taught.jar, taught.pieces) == ("copper", "J04", 4)
    assert taught.give == pytest.approx(np.log(1.25), abs=2 * taught.give_sd)
    assert taught.strain == pytest.approx(np.log(0.97), abs=2 * taught.strain_sd)
    with studio.reading() as connection:
        bows = [row.id for row in connection.execute(select(measure)) if row.what == "bow"]
        (kept,) = connection.execute(select(posterior).where(posterior.c.quantity == "bow"))
    assert sorted(kept.from_records) == sorted(bows), "where it comes from is kept with it"
    after = plan_of(studio, version).payload
    wide, narrow = (plan.flatness.states[-1].bow for plan in (before, after))
    assert narrow.high - narrow.low < wide.high - wide.low


def test_too_little_is_refused_with_its_reason(studio: Studio) -> None:
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.kept_learned import Taught
    from enamelwright.workshop.learned_bows import learned_bows
    from enamelwright.workshop.measures import take_measure

    assert learned_bows(studio, bench(studio)) == Taught()
    strip(studio, "S0", 0.3, bow=1e-3, weighed=False)
    strip(studio, "S1", 0.3)
    take_measure(studio.at(MORNING + timedelta(hours=1)), "S1", "bow", "1 mm")
    got = learned_bows(studio, bench(studio))
    assert got.found == ()
    assert set(got.left_out) == {
        "bare piece or coats were not weighed",
        "nobody said over which length the bow was read",
    }


def test_more_strips_than_a_database_takes_in_one_list_teach_the_same(
    studio: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.learned_bows import learned_bows

    for n, (glass, bow) in enumerate(zip((0.2, 0.75), bows_of(studio, (1.0, 1.0), 0.2, 0.75), strict=True)):
        strip(studio, f"S{n}", glass, bow=bow)
    strip(studio, "S9", 0.3)  # never measured
    before = learned_bows(studio, bench(studio))
    monkeypatch.setattr("enamelwright.workshop.named.ONE_BY_ONE", 1)
    assert learned_bows(studio, bench(studio)) == before
    assert [one.pieces for one in before.found] == [2]


@pytest.mark.parametrize(
    ("outline", "over", "taught"),
    [
        (None, "30 mm", True),  # read right across a disc of its weight
        (None, "60 mm", False),  # as a panel of 60 x 12 mm would be
        (None, None, False),
        ('"circle"\ndiameter_mm = 30', None, True),
        ('"rounded rectangle"\nwidth_mm = 60\nheight_mm = 12', "50 mm", True),  # bows like a strip
        ('"rounded rectangle"\nwidth_mm = 60\nheight_mm = 20', "50 mm", False),
    ],
)
def test_only_discs_and_strips_teach(studio: Studio, disc, outline, over, taught) -> None:  # type: ignore[no-untyped-def]
    """A panel of the same area taken for a disc would curve more than it did: 2.4 times, if 60 x 20 mm."""
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.coats import lay_coat
    from enamelwright.workshop.designs import keep_design
    from enamelwright.workshop.learned_bows import learned_bows
    from enamelwright.workshop.loads import fired
    from enamelwright.workshop.measures import take_measure
    from enamelwright.workshop.pieces import start_pieces

    design = None
    if outline is not None:
        disc.write_text(disc.read_text().replace('"circle"\ndiameter_mm = 25', outline), encoding="utf-8")
        design = keep_design(studio, disc).version
    bare = 8.96e-3 * 0.8 * np.pi / 4 * 30**2
    piece = start_pieces(studio, labels=["D"], design=design, metal="copper", thickness="0.8 mm",
                         metal_mass=f"{bare} g")[0].id  # fmt: skip
    lay_coat(studio, piece, "J04", face="front", method="sift", mesh=80, on_piece="0.3 g")
    fired(studio, [piece], set_point="800 C", seconds="120 s", closed_at=MORNING + timedelta(minutes=5))
    take_measure(studio.at(MORNING + timedelta(hours=1)), piece, "bow", "0.3 mm", over=over)
    got = learned_bows(studio, bench(studio))
    assert [one.pieces for one in got.found] == ([1] if taught else [])
    assert any("disc" in why for why in got.left_out) is not taught


def test_a_turned_sign_is_asked_for_by_name(studio: Studio) -> None:
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.learned_bows import learned_bows

    grams = (0.2, 0.75)
    bows = bows_of(studio, (1.0, 1.0), *grams)
    for n, (glass, bow) in enumerate(zip(grams, bows, strict=True)):
        strip(studio, f"W-0{n}", glass, bow=-bow)
    got = learned_bows(studio, bench(studio))
    assert got.found == ()
    (why,) = got.left_out
    assert why.startswith("J04 on copper, W-00, W-01: these bows belong to no such metal and glass")
    assert "with the sign of all of them turned they would" in why
    assert "A front that is hollow bows minus" in why


def test_what_lies_on_a_piece_is_foretold_from_what_was_weighed_before_it(studio: Studio) -> None:
    """One band a weighing, the first by hands at large; a hand that loses alike each time comes to lie inside."""
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.coats import lay_coat
    from enamelwright.workshop.coverage import WEIGHT, coverage
    from enamelwright.workshop.learned_hands import weights_foretold
    from enamelwright.workshop.pieces import start_pieces

    rng = np.random.default_rng(7)
    for n in range(20):
        piece = start_pieces(studio, labels=[f"P{n}"], metal="copper")[0].id
        missed = 0.30 + float(rng.normal(0, 0.02))
        lay_coat(studio, piece, "J04", face="front", method="sift", mesh=80, on_piece="0.2 g",
                 weighed_out=f"{0.2 / (1 - missed):.4f} g", at=MORNING + timedelta(minutes=n))  # fmt: skip
    found = weights_foretold(studio, bench(studio))
    assert len(found) == 20
    assert [one.piece for one in found] == sorted((one.piece for one in found), reverse=True)
    assert found[0].load == "J04"
    first, last = found[-1], found[0]
    assert not first.held  # hands at large lose 11 to 18 of a hundred
    assert last.held
    assert last.likely == pytest.approx(0.2e-3, rel=0.1)
    assert last.high - last.low < 0.4 * last.likely
    (row,) = coverage(found)
    assert (row.what, row.count) == (WEIGHT, 20)
    assert row.held >= 15
    assert len(weights_foretold(studio, bench(studio), most=5)) == 5


def test_weighings_teach_each_hand_and_mesh(studio: Studio) -> None:
    from sqlalchemy import select

    from enamelwright.craft.weights import Hand
    from enamelwright.records.schema.learned import posterior
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.coats import lay_coat
    from enamelwright.workshop.people import person
    from enamelwright.workshop.pieces import start_pieces
    from enamelwright.workshop.relearning import relearn

    usual = Hand.of(bench(studio)).loss["sift"]
    rng = np.random.default_rng(4)
    for who, loss in (("M", 0.10), ("S1", 0.25)):
        mine = studio.as_person(who)
        for n in range(12):
            piece = start_pieces(mine, labels=[f"{who}{n}"], metal="copper", thickness="0.9 mm", metal_mass="3 g")[0].id
            missed = loss + float(rng.normal(0, 0.01))
            lay_coat(mine, piece, "J04", face="front", method="sift", mesh=80, on_piece="0.2 g",
                     weighed_out=f"{0.2 / (1 - missed):.4f} g")  # fmt: skip
    lay_coat(studio, "M0", "J04", face="back", method="sift", mesh=80, on_piece="0.3 g", weighed_out="0.2 g")  # a slip
    person(studio, "S2")  # has weighed nothing yet
    relearn(studio)
    with studio.reading() as connection:
        kept = connection.execute(select(posterior).where(posterior.c.quantity == "hand")).all()
    assert all(len(row.from_records) == row.figures["weighings"] for row in kept)
    hands = {(one.what, one.who, one.mesh): one for one in bench(studio).learned_hands}
    mine, other = hands["loss", "M", 80], hands["loss", "S1", 80]
    assert mine.value == pytest.approx(0.10, abs=0.02)
    assert other.value == pytest.approx(0.25, abs=0.03)
    assert mine.sd < 0.04
    newcomer = hands["loss", "S2", 80]
    assert (newcomer.weighings, newcomer.others) == (0, 24)
    assert mine.value < newcomer.value < other.value
    assert newcomer.sd > 2 * mine.sd  # as wide as hands differ
    mixed = Hand.of(bench(studio)).missed("sift", 80)
    assert mine.value < mixed.value < other.value  # everybody's, and as wide as everybody is
    assert usual.origin.kind != mixed.origin.kind == "learned"


def test_few_weighings_teach_nothing(studio: Studio) -> None:
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.kept_learned import Taught
    from enamelwright.workshop.learned_hands import learned_hands

    strip(studio, "S0", 0.3)
    strip(studio, "S1", 0.3)
    assert learned_hands(studio, bench(studio)) == Taught()


def test_who_laid_a_piece_is_whose_hand_its_firing_is_foretold_by(studio: Studio, disc) -> None:  # type: ignore[no-untyped-def]
    """The same powder depth is more glass where powder lies denser."""
    from enamelwright.workshop.coats import lay_coat
    from enamelwright.workshop.designs import keep_design
    from enamelwright.workshop.pieces import piece_row, start_pieces
    from enamelwright.workshop.predictions import foretell
    from enamelwright.workshop.relearning import relearn

    area = np.pi / 4 * 0.03**2
    bare = 8960 * 0.8e-3 * area * 1e3
    for who, packing in (("M", 0.42), ("S1", 0.58)):
        mine = studio.as_person(who)
        for n in range(8):
            start_pieces(mine, labels=[f"{who}{n}"], metal="copper", thickness="0.8 mm", metal_mass=f"{bare} g")
            lay_coat(mine, f"{who}{n}", "J04", face="front", method="sift", mesh=80, powder_depth="0.5 mm",
                     on_piece=f"{packing * 0.5e-3 * area * 2500 * 1e3:.3f} g")  # fmt: skip
    relearn(studio)
    version = keep_design(studio, disc).version
    bows = {}
    for who in ("M", "S1"):
        mine = studio.as_person(who)
        piece = start_pieces(mine, labels=[f"of {who}"], design=version)[0]
        lay_coat(mine, piece.id, "J04", coat=1, face="front", method="sift")
        (told,) = foretell(studio, [piece_row(studio, piece.id)], {})
        assert told.figures is not None, told.why_not
        bows[who] = told.figures["state"]["bow"]["value"]
    assert abs(bows["S1"]) > abs(bows["M"])

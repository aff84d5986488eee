"""The ledger of a bath out of the record: weights before areas, firings behind them, what is drawn off, what nobody said."""

from __future__ import annotations

from pathlib import Path

import pytest

from enamelwright.craft.jar import GlassFacet, Jar
from enamelwright.errors import InputError
from enamelwright.questions.question import question
from enamelwright.workshop import baths
from enamelwright.workshop.bath_ledger import asked_of, book_of, made_of, met_of
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.history import withdraw
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.loads import begin_load, close_load
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio

VINEGAR = {"kind": "vinegar and salt", "strength": "5 %", "salt": "15 g"}


@pytest.fixture
def bath(studio: Studio) -> int:
    """Half a litre of vinegar and salt."""
    return baths.open_bath(studio, "June", volume="0.5 l", made_of=made_of({**VINEGAR, "volume": "0.5 l"}))


def test_weights_win_over_areas_and_replace_the_usual_scale(studio: Studio, bath: int) -> None:
    baths.note_bath(studio, bath, "dip", copper_area="100 cm2")
    usual = book_of(studio, bath)
    assert usual.lines[0].how == "area"
    assert usual.lines[0].scale.value == pytest.approx(0.3e-3)  # 3 mg/cm2, the usual scale
    baths.note_bath(studio, bath, "dip", copper_area="100 cm2", before="40.50 g", after="40.00 g")
    own = book_of(studio, bath)
    assert [line.how for line in own.lines] == ["area", "weighed"]
    assert own.lines[0].scale.value == pytest.approx(0.5e-3)
    assert own.book.oxide.value == pytest.approx(1.0e-3)
    assert own.lines[1].taken_up > own.lines[0].taken_up > 0


def test_a_dip_out_of_a_load_takes_the_scale_of_its_firing(studio: Studio, bath: int) -> None:
    start_pieces(studio, labels=["A-01"], metal="copper")
    begun = begin_load(studio, ["A-01"], set_point="850 C", start="load")
    close_load(studio, begun.number, seconds="300 s", stage_seen="gloss", cooled="on the pad")
    baths.note_bath(studio, bath, "dip", load=begun.number, copper_area="100 cm2")
    baths.note_bath(studio, bath, "dip", piece="A-01", copper_area="100 cm2")
    baths.note_bath(studio, bath, "dip", copper_area="100 cm2")
    fired, piece, plain = book_of(studio, bath).lines
    assert fired.how == piece.how == "area and its firing"
    assert fired.scale.value == pytest.approx(piece.scale.value)
    assert fired.scale.value > plain.scale.value


def test_a_dip_of_a_piece_counts_one_face_of_its_design(studio: Studio, bath: int, disc: Path) -> None:
    piece = start_pieces(studio, 1, design=keep_design(studio, disc).version)[0]
    baths.note_bath(studio, bath, "dip", piece=piece.number)
    (line,) = book_of(studio, bath).lines
    assert line.how == "one face of its design"
    assert line.scale.value > 0


def test_a_dip_nobody_measured_is_taken_to_be_like_the_others_or_said_to_be_missing(studio: Studio, bath: int) -> None:
    baths.note_bath(studio, bath, "dip", pieces=4)
    alone = book_of(studio, bath)
    assert (alone.uncounted, alone.guessed) == (1, 0)
    assert alone.lines[0].scale is None
    baths.note_bath(studio, bath, "dip", before="10.2 g", after="10.0 g")
    found = book_of(studio, bath)
    assert (found.uncounted, found.guessed) == (0, 1)
    assert found.book.oxide.value == pytest.approx(0.4e-3)


def test_what_is_heavier_afterwards_was_not_cleaned(studio: Studio, bath: int) -> None:
    with pytest.raises(InputError, match="weighs more"):
        baths.note_bath(studio, bath, "dip", before="10.0 g", after="10.2 g")
    with pytest.raises(InputError):
        baths.note_bath(studio, bath, "dip", before="-1 g", after="-2 g")
    assert baths.bath_entries(studio, bath) == []


def test_topping_up_brings_acid_and_drawing_off_takes_a_share_of_everything(studio: Studio, bath: int) -> None:
    baths.note_bath(studio, bath, "dip", before="11 g", after="10 g")
    whole = book_of(studio, bath)
    baths.note_bath(studio, bath, "drawn off", volume="0.25 l")
    half = book_of(studio, bath)
    assert half.book.volume == pytest.approx(whole.book.volume / 2)
    assert half.book.acid.value == pytest.approx(whole.book.acid.value / 2)
    assert half.state.taken_up.value == pytest.approx(whole.state.taken_up.value)
    assert half.state.copper.value == pytest.approx(whole.state.copper.value)
    baths.note_bath(studio, bath, "top up", volume="0.25 l")
    full = book_of(studio, bath)
    assert full.book.acid.value == pytest.approx(whole.book.acid.value)
    assert full.state.taken_up.value == pytest.approx(whole.state.taken_up.value / 2)


def test_an_emptied_bath_still_tells_what_it_was(studio: Studio, bath: int) -> None:
    baths.note_bath(studio, bath, "dip", before="11 g", after="10 g")
    before = book_of(studio, bath).state
    baths.note_bath(studio, bath, "drawn off", volume="0.5 l")
    assert book_of(studio, bath).state.copper.value == pytest.approx(before.copper.value)


def test_what_it_met_is_unknown_until_somebody_says_so(studio: Studio, bath: int) -> None:
    assert met_of(baths.bath_row(studio, bath)) is None
    baths.tell_met(studio, bath, [])
    assert met_of(baths.bath_row(studio, bath)) == ()
    baths.tell_met(studio, bath, ["lead", "nickel", "unknown enamel"])
    row = baths.bath_row(studio, bath)
    assert met_of(row) == ("lead", "nickel", "unknown enamel")
    assert (row.met_lead, row.met_cadmium, row.met_silver) == (True, False, False)
    assert row.made_of["kind"] == "vinegar and salt"
    baths.change_bath(studio, bath, met_cadmium=None)
    assert "unknown enamel" in met_of(baths.bath_row(studio, bath))


def test_two_chemistries_are_kept_and_held(studio: Studio, bath: int) -> None:
    baths.tell_met(studio, bath, [])
    assert "settle" in question("spent-bath").ask(asked_of(book_of(studio, bath))).payload.route
    baths.also_got(studio, bath, "citric acid")
    found = book_of(studio, bath)
    assert found.state.state == "exhausted"
    assert question("spent-bath").ask(asked_of(found)).payload.route == "hold and hand in"


def test_a_bath_nobody_described_is_not_taken_to_be_vinegar(studio: Studio) -> None:
    row = baths.open_bath(studio, "old one", volume="1 l")
    found = book_of(studio, row)
    assert (found.made.kind, found.state.state) == ("other", "not known")
    with pytest.raises(InputError, match="how much liquor"):
        book_of(studio, baths.open_bath(studio, "older one"))


def test_a_clock_of_ones_own_ends_a_bath(studio: Studio) -> None:
    row = baths.open_bath(studio, "timed", volume="1 l", made_of=made_of({**VINEGAR, "cleared_in": "5 min"}))
    baths.note_bath(studio, row, "dip", before="10.1 g", after="10.0 g", duration="6 min")
    assert book_of(studio, row).state.state == "fresh"
    baths.note_bath(studio, row, "dip", before="10.1 g", after="10.0 g", duration="25 min")
    assert book_of(studio, row).state.state == "exhausted"


def test_a_withdrawn_dip_is_not_counted(studio: Studio, bath: int) -> None:
    kept = baths.note_bath(studio, bath, "dip", before="11 g", after="10 g")
    assert book_of(studio, bath).book.oxide.value > 0
    withdraw(studio, "bath entry", kept, "another bath")
    assert book_of(studio, bath).book.oxide.value == 0


@pytest.mark.parametrize("bad", [{"strength": "strong"}, {"acid": "-5 g"}, {"kind": "tea"}, {"cleared_in": "soon"}])
def test_what_cannot_be_read_is_refused_before_it_is_kept(bad: dict[str, str]) -> None:
    with pytest.raises(InputError):
        made_of({"kind": "vinegar and salt", "volume": "1 l", **bad})


def test_the_ledger_asks_both_questions(studio: Studio, bath: int) -> None:
    baths.note_bath(studio, bath, "dip", before="11 g", after="10 g")
    asked = asked_of(book_of(studio, bath))
    assert question("bath").ask(asked).payload.now.state == "working"
    assert question("spent-bath").ask(asked).payload.copper.value > 0
    assert baths.baths_in(studio, baths.keep_container(studio, "drum")) == []


def test_a_container_takes_no_second_chemistry(studio: Studio, bath: int) -> None:
    citric = baths.open_bath(studio, "citric", volume="1 l", made_of=made_of({"kind": "citric acid", "volume": "1 l"}))
    unsaid = baths.open_bath(studio, "nobody said", volume="1 l")
    rinse = baths.open_bath(studio, "scrub", "rinse", volume="1 l")
    drum = baths.keep_container(studio, "drum", contents="spent pickle, no bleach in it")
    baths.into_waste(studio, drum, "spent June", bath=bath, volume="0.2 l")
    baths.into_waste(studio, drum, "the rest of it", bath=bath, volume="0.3 l")
    baths.into_waste(studio, drum, "sludge of the vinegar pickle", mass="20 g")
    baths.into_waste(studio, drum, "rinse", bath=rinse, volume="1 l")
    for other in (citric, unsaid):
        with pytest.raises(InputError, match="container of its own"):
            baths.into_waste(studio, drum, "spent", bath=other, volume="1 l")
    with pytest.raises(InputError, match="chlorine"):
        baths.into_waste(studio, drum, "a cup of bleach")
    assert [row.id for row in baths.went_to(studio, bath)] == [drum]
    assert baths.went_to(studio, citric) == []


def test_a_container_by_its_label_takes_no_other_kind(studio: Studio, bath: int) -> None:
    drum = baths.keep_container(studio, "citric, spent")
    with pytest.raises(InputError, match="citric acid"):
        baths.into_waste(studio, drum, "spent", bath=bath, volume="0.5 l")


@pytest.mark.parametrize("thing", ["liver of sulphur", "cyanides", "ammonium bifluoride cream", "what was in the jar"])
def test_acid_and_what_makes_deadly_gas_with_it_never_meet(studio: Studio, bath: int, thing: str) -> None:
    """Either may come first, and the rinse of a pickle counts as its acid; an empty container takes anything."""
    rinse = baths.open_bath(studio, "rinse tub", "rinse", volume="1 l")
    for n, liquor in enumerate((bath, rinse)):
        acid, other = (baths.keep_container(studio, f"drum {n}{side}") for side in "ab")
        baths.into_waste(studio, acid, "spent", bath=liquor, volume="0.1 l")
        baths.into_waste(studio, other, thing)
        with pytest.raises(InputError, match=r"gives|unknown contents"):
            baths.into_waste(studio, acid, thing)
        with pytest.raises(InputError, match=r"gives|unknown contents"):
            baths.into_waste(studio, other, "spent", bath=liquor, volume="0.1 l")


def test_a_mixed_bath_has_more_of_itself_in_its_container(studio: Studio, bath: int) -> None:
    baths.also_got(studio, bath, "citric acid")
    drum = baths.keep_container(studio, "drum")
    for _ in range(2):
        baths.into_waste(studio, drum, "spent", bath=bath, volume="0.1 l")
    assert len(baths.went_to(studio, bath)) == 1


def test_pieces_of_which_only_the_weight_is_known_count_as_sheet(studio: Studio, bath: int) -> None:
    """10 g of 0.8 mm copper: two faces of 10/(8.93 x 0.08) cm2 = 28 cm2, and 3 mg on each."""
    baths.note_bath(studio, bath, "dip", pieces=4, before="10 g")
    (line,) = book_of(studio, bath).lines
    assert line.how == "by the weight of its pieces"
    assert line.scale.value == pytest.approx(3e-6 * 2 * 10 / (8.93 * 0.08), rel=1e-3)
    assert line.scale.low == pytest.approx(2e-6 * 2 * 10 / (8.93 * 0.12), rel=1e-3)  # 2 mg/cm2 on 1.2 mm
    assert line.scale.high == pytest.approx(8e-6 * 2 * 10 / (8.93 * 0.05), rel=1e-3)  # 8 mg/cm2 on 0.5 mm
    assert any("both faces bare" in one for one in book_of(studio, bath).book.assumptions)
    asked = question("bath").ask(asked_of(book_of(studio, bath), next_load={"mass": "20 g"})).payload
    assert asked.after.copper_mass.value == pytest.approx(3 * asked.now.copper_mass.value)


def test_jars_on_the_dipped_pieces_tell_their_lead(studio: Studio, bath: int) -> None:
    jar = Jar(id="L1", name="old blue", kind="opaque", glass=GlassFacet(composition={"SiO2": 60.0, "PbO": 40.0}))
    add_jar(studio, jar)
    piece = start_pieces(studio, 1, metal="copper")[0]
    lay_coat(studio, piece.id, "L1", weighed_out="1 g", method="sift")
    baths.note_bath(studio, bath, "dip", piece=piece.number, copper_area="8 cm2")
    baths.tell_met(studio, bath, ["lead"])
    found = book_of(studio, bath)
    assert found.made.lead == pytest.approx(0.4 * 207.2 / 223.2, rel=1e-3)
    assert found.made.cadmium is None
    held = question("spent-bath").ask(asked_of(found)).payload.held_because
    assert any("as its jars tell" in one for one in held)

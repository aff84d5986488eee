"""Pieces and one piece: started, fired, looked at, found faulty, corrected; everything can be taken back."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from enamelwright.workshop import faults, history, listing, loads, measures
from enamelwright.workshop.coats import coats_on, lay_coat
from enamelwright.workshop.designs import design_row, version_row
from enamelwright.workshop.pieces import piece_row, start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import entry_of, send, undo, words


@pytest.fixture
def number(studio: Studio) -> str:
    """A piece of the first design, fired once."""
    made = start_pieces(studio, 1, listing_name(studio), labels=["first"])[0]
    loads.fired(studio, [made.id], set_point="790 C", seconds="150 s", stage_seen="gloss")
    return str(made.number)


def listing_name(studio: Studio) -> str:
    """Return the name of a design."""
    from enamelwright.workshop.designs import designs

    return str(designs(studio)[0].name)


def test_pieces_are_started_from_the_newest_version_of_a_design(client: TestClient, studio: Studio) -> None:
    name = listing_name(studio)
    location = send(client, "/pieces/new", {"design": str(design_row(studio, name).id), "labels": "one, two"})
    found = listing.pieces_like(studio)
    assert {row.label for row in found} == {"one", "two"}
    assert {row.design_version for row in found} == {version_row(studio, name).of}
    assert "/pieces?" in location
    undo(client, location)
    assert listing.pieces_like(studio) == []
    assert piece_row(studio, found[0].number).put_away, "its number is never given again"


def test_the_same_form_sent_twice_starts_one_piece(client: TestClient, studio: Studio) -> None:
    entry = entry_of(client, "/pieces/new")
    design = str(design_row(studio, listing_name(studio)).id)
    first, second = (
        client.post("/pieces/new", data={"entry": entry, "design": design, "count": "1"}) for _ in range(2)
    )
    assert first.headers["location"] == second.headers["location"]
    assert len(listing.pieces_like(studio)) == 1


def test_a_piece_without_a_plan_needs_only_a_tap(client: TestClient, studio: Studio) -> None:
    location = send(client, "/pieces/new", {"design": "", "metal": "copper", "thickness": "0.9 mm", "words": "dish"})
    page = client.get(location)
    assert page.status_code == 200
    assert "dish" in page.text
    assert "/coats" not in page.text.partition("<main")[2], "no plan, no coats to edit"
    assert piece_row(studio, location.split("/")[2].partition("?")[0]).thickness == pytest.approx(0.0009)


def test_a_firing_without_a_plan_is_written_down_in_one_breath(client: TestClient, studio: Studio) -> None:
    location = send(
        client, "/pieces/log", {"what": "small dish", "set_point": "790 C", "seconds": "2:30", "stage_seen": "gloss"}
    )
    assert "small dish" in client.get(location).text
    fired = listing.pieces_like(studio)
    assert [(row.label, row.fired) for row in fired] == [("small dish", 1)]
    again = send(client, "/pieces/log", {"what": fired[0].number, "seconds": "60 s"})
    assert "/firings" in again
    assert [row.fired for row in listing.pieces_like(studio)] == [2], "a known number is fired again"


def test_the_list_is_filtered_by_state_metal_and_technique(client: TestClient, studio: Studio, number: str) -> None:
    start_pieces(studio, 1, metal="fine silver", labels=["plain"])
    design = design_row(studio, listing_name(studio))

    def listed(asked: str) -> set[str]:
        return set(re.findall(r'href="/pieces/(\d{4}-\d+)"', client.get(f"/pieces?{asked}").text))

    metal = piece_row(studio, number).metal
    assert number in listed("")
    assert listed(f"metal={metal}&state=all") == {number}
    assert listed(f"technique={design.technique}") == {number}
    assert number not in listed("state=finished")
    send(client, f"/pieces/{number}", {"state": "finished"})
    assert listed("state=finished") == {number}
    assert number not in listed("")


def test_many_pieces_are_listed_by_pages(client: TestClient, studio: Studio) -> None:
    start_pieces(studio, listing.PAGE + 3, metal="copper")
    first = client.get("/pieces").text
    assert "Earlier ones" in first
    assert "Newer" not in first
    assert client.get(f"/pieces?skip={listing.PAGE}").text.count('class="number"') == 3


def test_the_section_stands_on_the_page_of_a_piece(client: TestClient, number: str) -> None:
    waiting = client.get(f"/pieces/{number}").text
    assert f'hx-get="/pieces/{number}/section"' in waiting
    drawn = client.get(f"/pieces/{number}/section").text
    assert "<svg" in drawn
    assert "As it is after firing 1." in drawn or "With everything on it." in drawn
    assert "style=" not in drawn
    at_once = client.get(f"/pieces/{number}").text
    assert 'hx-get="/pieces' not in at_once, "once worked out it is drawn at once"
    ids = re.findall(r'\bid="([^"]+)"', at_once)
    assert len(ids) == len(set(ids))


def test_small_sections_that_come_later_are_drawn_once_each(client: TestClient, studio: Studio, number: str) -> None:
    page = client.get("/pieces").text
    later = re.search(r'hx-get="(/sections\?of=[^"]+)"', page)
    assert later is not None
    drawn = client.get(later.group(1)).text
    used = set(re.findall(r'<use href="#([^"]+)"', page))
    assert used <= set(re.findall(r'<symbol id="([^"]+)"', drawn + page))
    assert client.get("/sections?of=99999.1,x,").status_code == 200


def test_a_fault_is_one_tap_and_can_be_taken_back_or_healed(client: TestClient, studio: Studio, number: str) -> None:
    page = f"/pieces/{number}/firings"
    tapped = re.search(r'name="fault" value="([a-z]+)"', client.get(page).text)
    assert tapped is not None
    location = send(client, page, {"fault": tapped.group(1)}, f"/pieces/{number}/faults")
    assert [one.fault for one in faults.faults_of(studio, number)] == [tapped.group(1)]
    undo(client, location)
    assert faults.faults_of(studio, number) == []

    send(client, page, {"own": "a hair in it", "place": "rim", "severity": "trace"}, f"/pieces/{number}/faults")
    seen = faults.faults_of(studio, number)[0]
    assert "a hair in it" in client.get(f"/pieces/{number}").text
    send(client, page, {"heal": str(seen.of), "remedy_tried": "stoned", "healed": "yes"}, f"/pieces/{number}/faults")
    assert faults.faults_of(studio, number)[0].healed
    assert "healed: stoned" in words(client.get(page).text)


def test_a_fault_of_another_piece_is_not_healed_from_here(client: TestClient, studio: Studio, number: str) -> None:
    other = start_pieces(studio, 1, metal="copper")[0]
    seen = faults.see_fault(studio, other.id, "pits")
    answer = client.post(f"/pieces/{number}/faults", data={"heal": str(seen), "healed": "yes"})
    assert answer.status_code == 422
    assert not faults.faults_of(studio, other.id)[0].healed


def test_a_measure_is_kept_as_typed(client: TestClient, studio: Studio, number: str) -> None:
    send(
        client, f"/pieces/{number}/firings", {"what": "bow", "value": "-0.3 mm", "over": "51 mm"},
        f"/pieces/{number}/measures",
    )  # fmt: skip
    assert measures.measures_of(studio, number)[0].length == pytest.approx(-0.0003)
    assert "-0.3 mm over 51 mm" in words(client.get(f"/pieces/{number}/firings").text)
    refused = client.post(f"/pieces/{number}/measures", data={"what": "bow", "value": "three"})
    assert refused.status_code == 422


def test_what_was_foretold_stands_beside_what_happened(client: TestClient, studio: Studio) -> None:
    made = start_pieces(studio, 1, listing_name(studio))[0]
    begun = loads.begin_load(studio, [made.id], set_point="790 C")
    if not begun.foretold:
        pytest.fail("nothing was foretold of a planned piece")
    loads.close_load(studio, begun.load, seconds="150 s", stage_seen="gloss")
    page = words(client.get(f"/pieces/{made.number}/firings").text)
    assert "Foretold" in page
    assert "Happened 2:30" in page
    assert "Nothing was foretold" not in page
    assert begun.number in page


def test_the_last_firing_like_the_next_one_is_named(client: TestClient, studio: Studio) -> None:
    """Of two alike, the one fired first tells the other how long it took."""
    first, twin = start_pieces(studio, 2, listing_name(studio))
    loads.fired(studio, [first.id], set_point="780 C", seconds="85 s", stage_seen="orange peel")
    assert f"Last time 1:25 , orange peel: {first.number}" in words(client.get(f"/pieces/{twin.number}?wait=1").text)
    after = words(client.get(f"/pieces/{first.number}?wait=1").text)
    assert "Firing 2 comes next" in after
    assert "Last time" not in after, "the next firing of the first was never done before"


def test_the_record_tells_everything_and_each_entry_leads_to_its_correction(
    client: TestClient, studio: Studio, number: str
) -> None:
    coat = lay_coat(studio, number, face="front", on_piece="0.44 g", mesh=80)
    page = client.get(f"/pieces/{number}/record").text
    assert "0.44 g" in page
    link = f"/record/coat/{coat}?back=/pieces/{number}/record"
    assert link in page
    location = send(
        client, link,
        {"back": f"/pieces/{number}/record", "do": "correct", "why": "misread", "to-on_piece": "0.46 g",
         "to-face": "front", "to-mesh": "80", "to-at": coats_on(studio, number)[0].at},
        f"/record/coat/{coat}",
    )  # fmt: skip
    assert location.startswith(f"/pieces/{number}/record")
    assert coats_on(studio, number)[0].on_piece == pytest.approx(0.00046)
    told = words(client.get(link).text)
    assert "misread" in told
    assert "0.44 g → 0.46 g" in told
    send(client, link, {"back": "/", "do": "withdraw", "why": "never laid"}, f"/record/coat/{coat}")
    assert coats_on(studio, number) == []
    assert "Taken out." in words(client.get(link).text)


def test_an_unchanged_correction_and_one_without_a_reason_are_refused(
    client: TestClient, studio: Studio, number: str
) -> None:
    row = measures.take_measure(studio, number, "bow", "0.2 mm")
    page = f"/record/measure/{row}"
    fields = dict(re.findall(r'name="(to-[a-z_]+)" value="([^"]*)"', client.get(page).text))
    chosen = {"to-what": "bow"}
    same = client.post(page, data={**fields, **chosen, "do": "correct", "why": "none", "back": "/"})
    assert same.status_code == 422
    silent = client.post(page, data={**fields, **chosen, "to-length": "0.3 mm", "do": "correct", "back": "/"})
    assert silent.status_code == 422
    assert len(history.states(studio, "measure", row)) == 1


@pytest.mark.parametrize("noun", ["device", "setting", "draft", "person", "jar"])
def test_what_is_no_entry_cannot_be_reached_by_its_name(client: TestClient, noun: str) -> None:
    assert client.get(f"/record/{noun}/1").status_code == 422


@pytest.mark.parametrize(
    "what", ["", "piece", "piece:1", "piece:1:0", "device:1:0", "number_given:1:0", "piece:-1:0", "x" * 3000]
)
def test_undo_takes_back_only_what_a_page_wrote(client: TestClient, what: str) -> None:
    assert client.post("/take-back", data={"what": what, "back": "/"}).status_code in {409, 422}


def test_undo_does_not_take_back_what_somebody_changed_since(client: TestClient, studio: Studio, number: str) -> None:
    location = send(client, f"/pieces/{number}", {"label": "mine", "words": ""})
    send(client, f"/pieces/{number}", {"label": "theirs", "words": ""})
    what = re.search(r'name="what" value="([^"]+)"', client.get(location).text)
    assert what is not None
    assert client.post("/take-back", data={"what": what.group(1), "back": "/"}).status_code == 409
    assert piece_row(studio, number).label == "theirs"


@pytest.mark.parametrize("back", ["//elsewhere.example", "https://elsewhere.example", "/\\elsewhere.example", "x"])
def test_no_form_leads_off_the_app(client: TestClient, studio: Studio, number: str, back: str) -> None:
    row = measures.take_measure(studio, number, "bow", "0.2 mm")
    answer = client.post(f"/record/measure/{row}", data={"do": "withdraw", "why": "slip", "back": back})
    assert answer.headers["location"].startswith("/?said=")


def test_names_with_markup_are_shown_as_text(client: TestClient, studio: Studio) -> None:
    nasty = "<script>alert(1)</script>\"'"
    made = start_pieces(studio, 1, labels=[nasty], metal="copper", words=nasty)[0]
    faults.see_fault(studio, made.id, nasty, place=nasty)
    for page in ("", "/firings", "/record", "/price", "/tag"):
        shown = client.get(f"/pieces/{made.number}{page}").text
        assert "<script>alert" not in shown
    assert "<script>alert" not in client.get("/pieces").text
    assert "&lt;script&gt;" in client.get("/").text


def test_a_twin_is_offered_on_the_page_of_a_piece(client: TestClient, studio: Studio, number: str) -> None:
    design = design_row(studio, listing_name(studio))
    assert f'/pieces/new?like={number}"' in client.get(f"/pieces/{number}").text
    offered = client.get(f"/pieces/new?design={design.id}").text
    assert re.search(rf'value="{design.id}" checked', offered)


def test_the_price_and_hand_time_of_a_piece(client: TestClient, studio: Studio, number: str) -> None:
    page = f"/pieces/{number}/price"
    location = send(client, page, {"money": "38.50 credits"})
    assert "38.50 credits" in client.get(page).text
    assert "38.50 credits" in client.get(f"/pieces/{number}/tag").text
    undo(client, location)
    assert "No price is set." in client.get(page).text
    send(client, page, {"work": "cutting", "duration": "20 min"})
    assert "20 min" in words(client.get(page).text)


@pytest.mark.parametrize("page", ["", "/firings", "/record", "/price", "/section"])
def test_a_number_nobody_has_is_said_so(client: TestClient, page: str) -> None:
    answer = client.get(f"/pieces/2020-999{page}")
    assert answer.status_code == 422
    assert "2020-999" in answer.text


def test_a_load_is_read_again(client: TestClient, studio: Studio, number: str) -> None:
    load = listing.looks_with(studio, int(piece_row(studio, number).id))
    assert load == {}
    page = client.get(f"/pieces/{number}/firings").text
    link = re.search(r'href="(/loads/[^"]+)"', page)
    assert link is not None
    told = words(client.get(link.group(1)).text)
    assert "2:30, gloss" in told
    assert "790 °C" in told
    assert number in told


def test_cards_of_a_planned_piece_are_one_tap_away(client: TestClient, studio: Studio, number: str) -> None:
    page = client.get(f"/pieces/{number}?wait=1").text
    for cards, words_on_it in (("bench", "Bench card"), ("kiln", "Kiln cards")):
        link = re.search(rf'href="([^"]+cards={cards})">{words_on_it}<', page)
        assert link is not None, cards
        shown = client.get(link.group(1).replace("&amp;", "&"))
        assert shown.status_code == 200, shown.text
        assert number in shown.text
    plain = start_pieces(studio, 1, metal="copper")[0]
    assert "/paper/day" not in client.get(f"/pieces/{plain.number}").text.partition("<main")[2]


def test_a_complaint_of_two_words_is_said_by_the_label_of_its_field(client: TestClient) -> None:
    client.get("/pieces/log")
    answer = client.post("/pieces/log", data={"what": "an old bowl", "set_point": "1450", "seconds": "150 s"})
    assert answer.status_code == 422
    assert "Set to: a number without a unit." in words(answer.text)
    assert 'data-field="set_point"' in answer.text

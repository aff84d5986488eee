"""Whole jobs of a maker, in a real browser: from the first page to the card, and through a day at the kiln."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from enamelwright.craft.kiln import Kiln
from enamelwright.records.schema.loads import load as load_table
from enamelwright.web import sharing, viewer
from enamelwright.workshop.coats import coats_on, lay_coat
from enamelwright.workshop.designs import design_row, keep_design, version_row
from enamelwright.workshop.editing import of_piece
from enamelwright.workshop.faults import faults_of
from enamelwright.workshop.firings import load_row, looks_of, open_loads, pieces_in
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.mishaps import mishaps_of, spoiled_firings
from enamelwright.workshop.pieces import piece_row, start_pieces
from enamelwright.workshop.studio import Studio
from everywhere import settled
from kiln_browser import axe, begun, count, leave, nth_load, opened, passes, settle, tap

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

EXAMPLES = Path(__file__).parents[2] / "examples"
#: What takes a load out: the main button once the stage to stop at is seen, else the one beside it.
OUT = "#first-act[data-main=out], #second-act[data-act=out]"
TABLET, TELEPHONE = {"width": 1024, "height": 768}, {"width": 390, "height": 844}


@pytest.fixture
def pieces(studio: Studio) -> list[str]:
    """Two pieces with a kiln and a clear coat that waits to be fired."""
    keep_kiln(studio, Kiln.from_outside({"name": "small kiln", "preset": "fibre small"}, "kiln"))
    version = keep_design(studio, EXAMPLES / "clear-over-flux.toml").version
    numbers = [row.number for row in start_pieces(studio, 2, version)]
    for number in numbers:
        lay_coat(studio, number, coat=2, face="front")
    return numbers


def fire(page: Page, seconds: float = 100, stage: str = "gloss") -> None:
    """From the page that asks what goes in: one load that came out alike."""
    begun(page)
    tap(page, "[data-main=put-in]")
    passes(page, seconds)
    tap(page, f".stage[value='{stage}']")
    tap(page, OUT)
    tap(page, "[data-main=after]")
    settle(page)


# --- before the kiln ------------------------------------------------------------------------------


def test_from_first_use_to_the_bench_card(browser: Browser, tmp_path: Path, empty_sqlite: Path) -> None:
    """An empty studio on a telephone: a kiln, two jars, one piece, its plan, its card."""
    from enamelwright.records.home import Home
    from serving import served

    home = Home(tmp_path / "empty")
    home.folder.mkdir()
    shutil.copy(empty_sqlite, home.database)
    studio = Studio.open(home)
    with served(studio) as url, opened(browser, url, clock=False, viewport=TELEPHONE) as page:
        page.goto(url)
        leave(page, page.get_by_role("link", name="Begin, in five minutes"))
        leave(page, page.get_by_role("link", name="Begin with the kiln"))
        page.get_by_label("What you call it").fill("the small one")
        page.get_by_text("fibre small").click()
        leave(page, page.get_by_role("button", name="Next: two jars"))
        front, back = page.get_by_role("group", name="For the front"), page.get_by_role("group", name="For the back")
        front.get_by_label("Code you call it by").fill("J1")
        front.get_by_label("Name, as on the jar").fill("sea green")
        back.get_by_label("Code you call it by").fill("C1")
        leave(page, page.get_by_role("button", name="Next: one piece"))
        page.get_by_label("What it will be").fill("leaf pendant")
        leave(page, page.get_by_role("button", name="Plan it"))
        assert "/pieces/" in page.url
        page.locator("#drawn .edge-on svg").first.wait_for(state="attached")
        settled(page)
        page.get_by_role("heading", name="Firing 1 comes next").wait_for()
        assert axe(page) == []
        leave(page, page.get_by_role("link", name="Bench card"))
        page.wait_for_function("() => [...document.images].every((one) => one.complete)")
        assert page.locator("img.preview").count() >= 1
        assert page.evaluate("() => [...document.images].every((one) => one.complete && one.naturalWidth > 0)")
        card = page.request.get(url + str(page.get_by_role("link", name="Print").get_attribute("href")))
        assert card.body().startswith(b"%PDF")
        assert page.evaluate("document.scrollingElement.scrollWidth") <= TELEPHONE["width"]
    assert design_row(studio, "leaf pendant")
    studio.close()


def test_coats_are_edited_to_a_kept_design_and_a_piece_is_made_of_it(
    browser: Browser, app_url: str, studio: Studio
) -> None:
    """A coat is laid, thickened and undone; the version is kept with its reason and the next piece is made of it."""
    with opened(browser, app_url, clock=False, viewport={"width": 1280, "height": 1100}) as page:
        page.goto(f"{app_url}/designs")
        leave(page, page.get_by_role("link", name="Harbour pendant"))
        coats = page.locator("a.band, .band a").count()
        page.get_by_role("button", name="Lay a coat on the front").click()
        page.wait_for_url("**said=laid**")
        page.locator("#amount").fill("0.35")
        page.locator("#amount").press("Tab")
        page.wait_for_function("() => !document.querySelector('#windows[aria-busy]')")
        page.wait_for_function("() => document.getElementById('bar').textContent.includes('Changed since')")
        page.locator("#bar button[value=undo]").click()
        page.wait_for_url("**said=undone**")
        page.get_by_role("button", name="Do it again").first.click()
        page.wait_for_url("**said=again**")
        page.get_by_label("Why this version").fill("one more coat")
        page.get_by_role("button", name="Keep as a new version").click()
        page.wait_for_url("**said=kept**")
        kept = version_row(studio, "harbour pendant")
        assert kept.number == 2
        assert kept.words == "one more coat"
        assert page.locator("a.band, .band a").count() == coats + 1
        page.goto(f"{app_url}/pieces/new")
        page.get_by_text("Harbour pendant").first.click()
        leave(page, page.get_by_role("button", name="Start and number"))
        number = page.url.split("/pieces/")[1].split("?")[0]
        assert piece_row(studio, number).design_version == kept.of


def test_can_you_make_its_twin(browser: Browser, app_url: str, studio: Studio, pieces: list[str]) -> None:
    """Somebody asks for one like that of last year: found by a word, read, begun as it was, weighed out, put in."""
    old = pieces[0]
    was = piece_row(studio, old).design_version
    with opened(browser, app_url, viewport=TABLET) as page:
        page.goto(f"{app_url}/kiln/ready?piece={old}")
        fire(page, 110, "cleared")
        page.goto(f"{app_url}/pieces/{old}")
        page.get_by_role("textbox", name="Label").fill("the heron")
        leave(page, page.get_by_role("button", name="Keep", exact=True))
        keep_design(studio, of_piece(studio, old).piece.model_copy(update={"note": "drawn anew since"}))

        page.goto(app_url)
        page.locator("#finder-box").fill("heron")
        with page.expect_event("load"):
            page.locator("#finder-box").press("Enter")
        leave(page, page.get_by_role("link", name=f"{old} the heron"))  # its firing is found too
        assert page.url.endswith(f"/pieces/{old}")
        leave(page, page.get_by_role("link", name="Firings"))
        assert "cleared" in page.locator(".firings").inner_text()
        page.go_back()
        leave(page, page.get_by_role("link", name="Make its twin"))
        assert "has gone on to version 2" in page.inner_text("main")
        page.get_by_role("button", name="Start and number").click()
        page.wait_for_url("**said=started**")
        twin = page.url.split("/pieces/")[1].split("?")[0]
        assert twin != old
        assert piece_row(studio, twin).design_version == was, "as it was made, not as the design is now"
        assert old in str(piece_row(studio, twin).words)

        page.goto(f"{app_url}/weigh")
        leave(page, page.locator(".weigh-list a", has_text=twin).first)
        begun(page)
        page.fill("#grams", "0.62")
        leave(page, page.locator(".main-action"))
        settle(page)
        assert [one.weighed_out for one in coats_on(studio, twin)] == [pytest.approx(0.62e-3)]
        page.goto(f"{app_url}/kiln")
        page.locator("label.choice", has_text=twin).click()
        leave(page, page.get_by_role("button", name="These go in", exact=True))
        fire(page)
        assert [one.number for one in pieces_in(studio, load_row(studio, nth_load(studio, 2)).of)] == [twin]


# --- at the kiln ----------------------------------------------------------------------------------


def test_four_stages_a_fault_and_what_its_page_says_then(
    browser: Browser, app_url: str, studio: Studio, pieces: list[str]
) -> None:
    """Sugar, orange peel and gloss on three looks, cleared at the fourth, and pits on one of the two."""
    with opened(browser, app_url, viewport=TABLET) as page:
        page.goto(f"{app_url}/kiln/ready?piece={pieces[0]}&piece={pieces[1]}")
        begun(page)
        tap(page, "[data-main=put-in]")
        passes(page, 40)
        for stage in ("sugar", "orange peel", "gloss"):
            tap(page, "[data-main=look]")
            tap(page, f".stage[value='{stage}']")
            tap(page, "[data-main=shut]")
            passes(page, 20)
        tap(page, "[data-main=look]")
        tap(page, ".stage[value=cleared]")
        tap(page, "[data-main=out]")
        page.click(f"a.standing[data-piece='{pieces[1]}']")
        page.check(f"#piece-{pieces[1]} input[value=pits] >> nth=0", force=True)
        tap(page, "[data-main=after]")
        settle(page)
        row = load_row(studio, nth_load(studio, 1))
        told = looks_of(studio, row.of)
        assert [one.stage_seen for one in told if one.back_in] == ["sugar", "orange peel", "gloss"]
        seconds = [one.seconds for one in told]
        assert seconds == sorted(seconds)
        assert row.stage_seen == "cleared"
        assert seconds[2] == pytest.approx(row.to_gloss)
        assert row.seconds > seconds[2]
        page.goto(f"{app_url}/pieces/{pieces[1]}")
        settled(page)
        assert "pits" in page.locator("section", has_text="Faults not healed").first.inner_text().casefold()
        page.goto(f"{app_url}/pieces/{pieces[1]}/firings")
        page.get_by_label("What was done").fill("stoned and fired again")
        leave(page, page.get_by_role("button", name="It helped"))
        assert not [one for one in faults_of(studio, pieces[1]) if not one.healed]


def test_a_mishap_is_told_and_teaches_nothing(
    browser: Browser, app_url: str, studio: Studio, pieces: list[str]
) -> None:
    """It slides off the trivet: the piece says so, its firing is no measure, and the other goes on tonight."""
    unlucky, other = pieces
    with opened(browser, app_url, viewport=TABLET) as page:
        page.goto(f"{app_url}/kiln/ready?piece={unlucky}&piece={other}")
        begun(page)
        tap(page, "[data-main=put-in]")
        passes(page, 90)
        tap(page, ".stage[value=gloss]")
        tap(page, OUT)
        page.click(f"a.standing[data-piece='{unlucky}']")
        page.check(f"#piece-{unlucky} input[value='slid off']", force=True)
        tap(page, "[data-main=after]")
        settle(page)
        load = load_row(studio, nth_load(studio, 1)).of
        assert [one.what for one in mishaps_of(studio, unlucky)] == ["slid off"]
        assert not mishaps_of(studio, other)
        assert spoiled_firings(studio) == {(load, piece_row(studio, unlucky).id)}
        page.goto(f"{app_url}/pieces/{unlucky}")
        settled(page)
        said = page.locator("section", has_text="What went wrong in the hand").first.inner_text()
        assert "Slid off" in said
        assert "nothing is learned from it" in said
        assert axe(page) == []
        # What to do tonight: it is spoilt and leaves the bench, the other goes on.
        page.get_by_role("button", name="Spoilt").click()
        page.wait_for_url("**said=state**")
        page.goto(f"{app_url}/kiln")
        assert unlucky not in page.inner_text("main")
        assert other in page.inner_text("main")
        # It was the other one after all: the record is put right and says why.
        page.goto(f"{app_url}/pieces/{unlucky}")
        leave(page, page.locator("section", has_text="What went wrong").get_by_role("link", name="Correct"))
        page.get_by_label("Why").fill("it was not dropped, it stood there all the time")
        leave(page, page.get_by_role("button", name="It never happened"))
        assert not mishaps_of(studio, unlucky)
        assert not spoiled_firings(studio)


def test_a_day_of_six_loads(browser: Browser, app_url: str, studio: Studio, pieces: list[str]) -> None:
    """Three pairs go through twice each; "The same again" saves choosing; Today tells all of it at night."""
    row = piece_row(studio, pieces[0])
    pairs = [pieces, *([one.number for one in start_pieces(studio, 2, int(row.design_version))] for _ in range(2))]
    with opened(browser, app_url, viewport=TABLET) as page:
        for pair in pairs:
            page.goto(f"{app_url}/kiln/ready?piece={pair[0]}&piece={pair[1]}")
            fire(page, 80, "orange peel")
            leave(page, page.get_by_role("link", name="The same again"))
            assert "/kiln/ready?" in page.url
            fire(page, 100, "gloss")
        assert not open_loads(studio)
        loads = [load_row(studio, nth_load(studio, n)) for n in range(1, 7)]
        assert [one.stage_seen for one in loads] == ["orange peel", "gloss"] * 3
        for n, pair in enumerate(pairs):
            for one in loads[2 * n : 2 * n + 2]:
                assert [part.number for part in pieces_in(studio, one.of)] == pair
        page.goto(app_url)
        settled(page)
        today = page.locator("#day").inner_text()
        assert all(str(one.number) in today for one in loads)
        page.goto(f"{app_url}/pieces/{pieces[0]}/firings")
        settled(page)
        assert page.locator(".firings > li:not(.to-come)").count() == 2


# --- several devices ------------------------------------------------------------------------------


@contextmanager
def paired(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[str, str, str]]:
    """Serve to paired devices only; give the address, and the tokens of one that writes and of a guest."""
    from enamelwright.workshop.devices import pair
    from serving import served

    monkeypatch.setattr(sharing, "THIS_MACHINE", frozenset())
    monkeypatch.setattr(viewer, "THIS_MACHINE", frozenset())
    with served(studio, sharing=sharing.Sharing(studio, shared=True, addresses=())) as url:
        yield url, pair(studio, "kiln tablet", "write"), pair(studio, "class tablet", "read")


def cookie(token: str) -> dict[str, Any]:
    """What a paired browser keeps."""
    return {"name": "device", "value": token, "domain": "127.0.0.1", "path": "/"}


def test_a_class_evening_with_one_kiln(
    browser: Browser, studio: Studio, pieces: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four students, two loads; one tablet writes, the other looks on and may not."""
    version = int(piece_row(studio, pieces[0]).design_version)
    design = design_row(studio, int(version_row(studio, version).design))
    students = ("Anna's table", "B-2", "the twins", "D")
    with (
        paired(studio, monkeypatch) as (url, writes, reads),
        opened(browser, url, viewport=TABLET) as page,
        opened(browser, url, clock=False, viewport=TELEPHONE) as guest,
    ):
        page.context.add_cookies([cookie(writes)])
        guest.context.add_cookies([cookie(reads)])
        page.goto(f"{url}/pieces/new")
        page.locator("label.choice.wide", has_text=design.name).click()
        page.get_by_label("How many").fill("4")
        page.get_by_label("Your own labels").fill(", ".join(students))
        page.get_by_role("button", name="Start and number").click()
        page.wait_for_url("**said=started-many**")
        made = [piece_row(studio, label).number for label in students]
        assert {piece_row(studio, one).design_version for one in made} == {version}
        # The labels are on the guest's page too, and nothing there can be written.
        guest.goto(f"{url}/pieces")
        assert all(label in guest.inner_text("main") for label in students)
        assert "looks on as a guest" in guest.inner_text("body")
        for pair in (made[:2], made[2:]):
            page.goto(f"{url}/kiln/ready?" + "&".join(f"piece={one}" for one in pair))
            begun(page)
            tap(page, "[data-main=put-in]")
            settle(page)
            guest.goto(f"{url}/kiln")
            assert all(one in guest.locator(".in-now").inner_text() for one in pair)
            passes(page, 90)
            tap(page, ".stage[value=gloss]")
            tap(page, OUT)
            tap(page, "[data-main=after]")
            settle(page)
        before = count(studio, load_table)
        guest.goto(f"{url}/kiln/ready?piece={made[0]}")
        begun(guest)
        guest.click("[data-main=put-in]")
        guest.get_by_text("not paired for writing").wait_for()
        assert count(studio, load_table) == before
        assert not open_loads(studio)
        # Whose is whose stands on the load.
        guest.goto(f"{url}/loads/{nth_load(studio, 1)}")
        assert all(label in guest.inner_text("main") for label in students[:2])


def test_two_devices_at_one_bench(
    browser: Browser, studio: Studio, pieces: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One weighs while the other fires; both change one piece, and neither overwrites the other unseen."""
    from enamelwright.workshop.devices import pair

    with (
        paired(studio, monkeypatch) as (url, kiln, _),
        opened(browser, url, viewport=TABLET) as at_kiln,
        opened(browser, url, clock=False, viewport=TELEPHONE) as at_bench,
    ):
        at_kiln.context.add_cookies([cookie(kiln)])
        at_bench.context.add_cookies([cookie(pair(studio, "bench telephone", "write"))])
        at_kiln.goto(f"{url}/kiln/ready?piece={pieces[0]}")
        begun(at_kiln)
        tap(at_kiln, "[data-main=put-in]")
        settle(at_kiln)
        at_bench.goto(f"{url}/weigh/{pieces[1]}?coat=1")
        begun(at_bench)
        at_bench.fill("#grams", "0.58")
        leave(at_bench, at_bench.locator(".main-action"))
        assert "coat=1" not in at_bench.url
        settle(at_bench)
        assert pytest.approx(0.58e-3) in [one.weighed_out for one in coats_on(studio, pieces[1])]
        # The load that went in on the one is taken out on the other.
        at_bench.goto(f"{url}/kiln")
        leave(at_bench, at_bench.get_by_text("To its clock"))
        begun(at_bench)
        at_bench.locator("#second-act").click()
        at_bench.wait_for_timeout(700)
        at_bench.click("[data-main=after]")
        settle(at_bench)
        assert not open_loads(studio)
        # Both had the page of the same piece open; the second to send it sees both values and nothing is lost.
        other = browser.new_context(viewport=TELEPHONE).new_page()  # being refused is an error in its console
        other.context.add_cookies(at_bench.context.cookies())
        for page in (at_kiln, other):
            page.goto(f"{url}/pieces/{pieces[1]}")
        for page, label, said in ((at_kiln, "heron", "Kept."), (other, "egret", "heron")):
            page.get_by_role("textbox", name="Label").fill(label)
            leave(page, page.get_by_role("button", name="Keep", exact=True))
            page.get_by_text(said).first.wait_for()
        assert "egret" in other.inner_text("main"), "what was typed is not lost"
        assert piece_row(studio, pieces[1]).label == "heron"
        other.context.close()

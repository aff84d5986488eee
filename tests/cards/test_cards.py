"""Bench and kiln cards: A6, complete, repeatable, never overflowing, and deaf to markup in names.

ISO 216 gives A6 as 105 x 148 mm. PDF/UA-1 is ISO 14289-1: tagged, with title and language.
"""

from __future__ import annotations

import hashlib
import io
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

import sample_plans
from enamelwright.cards import bench, bench_card, kiln, kiln_cards, press, words, write_cards
from enamelwright.cards.folder import BENCH_CARD, KILN_CARDS
from enamelwright.cards.signs import BOLD_FACE, LAST_FACE, covered, drawable
from enamelwright.errors import InputError

MM = 72 / 25.4
PLANS = ["disc", "cloisonne", "torch", "hostile", "very_long_name", "twenty_firings", "many_coats", "no_coats"]


def plan_of(name: str):
    return getattr(sample_plans, name)()


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def text_of(pdf: bytes) -> str:
    joined = " ".join(page.extract_text() for page in reader(pdf).pages)
    return re.sub(r"\s+", " ", joined.replace("\u200b", ""))


@pytest.mark.parametrize("name", PLANS)
def test_a_bench_card_is_one_a6_page_with_its_steps_behind_and_nothing_is_cut_off(name):
    plan = plan_of(name)
    pdf = bench_card(plan, "2026-014")
    pages = reader(pdf).pages
    assert len(pages) == 1 + len(bench.bench_card_data(plan)["steps"])
    for page in pages:
        assert float(page.mediabox.width) / MM == pytest.approx(105, abs=0.1)
        assert float(page.mediabox.height) / MM == pytest.approx(148, abs=0.1)
    assert press.cut_off(bench.TEMPLATE, bench.bench_card_data(plan, "2026-014")) == 0


@pytest.mark.parametrize("name", PLANS)
def test_kiln_cards_have_one_page_a_group_and_nothing_is_cut_off(name):
    plan = plan_of(name)
    data = kiln.kiln_cards_data(plan, "2026-014")
    assert len(reader(kiln_cards(plan, "2026-014")).pages) == len(data["cards"])
    assert press.cut_off(kiln.TEMPLATE, data) == 0


@pytest.mark.parametrize("make", [bench_card, kiln_cards])
@pytest.mark.parametrize("name", ["disc", "cloisonne"])
def test_the_same_plan_gives_the_same_bytes(make, name):
    first = make(plan_of(name), "2026-014")
    press._fonts.cache_clear()
    assert make(plan_of(name), "2026-014") == first


@pytest.mark.parametrize("make", [bench_card, kiln_cards])
def test_a_card_is_tagged_with_title_and_language(make):
    root = reader(make(sample_plans.disc(), "2026-014")).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] is True or bool(root["/MarkInfo"]["/Marked"])
    assert "/StructTreeRoot" in root
    assert root["/Lang"].startswith("en")
    assert "Harebell disc" in reader(make(sample_plans.disc())).metadata.title


def test_only_our_own_fonts_are_embedded():
    found = set()
    for page in reader(bench_card(sample_plans.disc(), "2026-014")).pages:
        found |= {str(font.get_object()["/BaseFont"]) for font in page["/Resources"]["/Font"].values()}
    assert found
    assert all("IBMPlexSans" in name for name in found)


def test_the_bench_card_holds_what_the_table_needs():
    text = text_of(bench_card(sample_plans.disc(), "2026-014"))
    for fact in ("2026-014", "Harebell disc", "copper", "0.90 mm", "1.45 g", "0.86 g", "0.62 g", "0.38 mm", "mesh 80",
                 "gum 1 : 2 water", "Watch", "Good", "Back:", "Sift the back to 0.95 mm",
                 "Lead is not known", "common practice", "Invented for demonstration", "Bow likely between", "Steps in order", "Lift the loose scale"):  # fmt: skip
        assert fact in text, fact


def test_at_most_three_verdicts_and_one_caution_stand_on_a_card():
    data = bench.bench_card_data(sample_plans.hostile(), "1")
    assert all(len(column) == 3 for column in data["verdicts"])
    assert "1 more to read in the plan" in data["foot"]
    assert "Kiln glare" not in text_of(bench_card(sample_plans.disc()))


def test_the_kiln_card_holds_what_the_kiln_needs():
    text = text_of(kiln_cards(sample_plans.disc(), "2026-014"))
    for fact in ("Firing 1 of 3", "Firing 3 of 3", "788 °C", "1450 °F", "1 min 30 s to 2 min 30 s", "first look",
                 "then every", "out by", "from closing the door", "stop at orange peel", "stop at gloss", "Back up, back unfired",
                 "trivet, rim only", "Then expect: Bow likely between", "Next: Lift the loose scale", "put in", "pulled"):  # fmt: skip
        assert fact in text, fact


def test_temperature_and_time_are_set_in_seventeen_points_whatever_else_shrinks():
    for name in ("disc", "hostile", "twenty_firings"):
        for page in reader(kiln_cards(plan_of(name), "2026-014")).pages:
            sizes: dict[str, float] = {}

            def keep(text, matrix, position, font, size, sizes=sizes):
                if text.strip():
                    sizes[text.strip()] = size * abs(position[3])

            page.extract_text(visitor_text=keep)
            large = [text for text, size in sizes.items() if size == pytest.approx(17, abs=0.05)]
            assert any("°C" in text for text in large)
            assert any("min" in text for text in large)


def test_a_torch_card_names_no_degrees():
    text = text_of(kiln_cards(sample_plans.torch()))
    assert "by eye, no degrees" in text
    assert "°" not in text


def test_firings_alike_share_a_card_with_a_tick_row_each():
    plan = sample_plans.cloisonne(fills=4)
    groups = kiln.alike(plan.firings)
    assert [[f.number for f in group] for group in groups] == [[1], [2], [3, 4, 5, 6], [7]]
    data = kiln.kiln_cards_data(plan)
    assert [row["label"] for row in data["cards"][2]["ticks"]] == ["3", "4", "5", "6"]
    assert data["cards"][2]["title"] == "Firings 3 to 6 of 7"


def test_firings_that_differ_in_what_the_card_says_do_not_share():
    firings = sample_plans.cloisonne(fills=3).firings
    changed = firings[:3] + (firings[3].model_copy(update={"support": "mesh"}),) + firings[4:]
    assert [len(group) for group in kiln.alike(changed)] == [1, 1, 1, 1, 1, 1]


def test_rounds_named_in_words_still_share():
    firings = sample_plans.cloisonne(fills=3).firings
    named = tuple(
        f.model_copy(update={"words": f"front (rose), round {f.fill_round} of 3, to orange peel"})
        if f.fill_round
        else f
        for f in firings
    )
    assert [len(group) for group in kiln.alike(named)] == [1, 1, 3, 1]


def test_every_firing_is_on_exactly_one_card():
    plan = sample_plans.twenty_firings()
    numbers = [firing.number for group in kiln.alike(plan.firings) for firing in group]
    assert numbers == [firing.number for firing in plan.firings]
    assert max(len(group) for group in kiln.alike(plan.firings)) <= kiln.MOST_ROWS


@pytest.mark.parametrize("make", [bench_card, kiln_cards])
def test_markup_in_names_is_printed_as_it_stands(make):
    plan = sample_plans.hostile()
    text = text_of(make(plan))
    for part in ("#let x = $1$", "*bold*", "_it_", "<tag>", "[box]", "`code`", "@ref", "//no"):
        assert part in text, part


def test_a_long_name_is_whole_on_the_card():
    plan = sample_plans.very_long_name()
    assert plan.piece.name in text_of(bench_card(plan, "2026-014")).replace(" ", "")


@pytest.mark.parametrize("name", ["", "\u202e reversed", "日本の皿", "a\x00b", "🙂 disc", "Ñandú • Ёлка"])
def test_signs_the_type_lacks_are_replaced_not_refused(name):
    plan = sample_plans.disc()
    odd = plan.model_copy(update={"piece": plan.piece.model_copy(update={"name": name or "x"})})
    assert bench_card(odd, name).startswith(b"%PDF")


def test_the_type_has_the_signs_of_the_trade():
    signs = {ord(sign) for sign in "µ°Δασ≤→₂±×·…’–äéñ²"}
    assert signs <= covered(LAST_FACE)
    assert signs <= covered(BOLD_FACE)
    assert drawable("µ° Δα 日") == "µ° Δα ?"


def test_the_fonts_are_the_ones_listed():
    listed = dict(reversed(line.split()) for line in (press.FONTS / "HASHES").read_text().splitlines())
    files = {path.name for path in press.FONTS.glob("*.ttf")} | {"LICENSE_OFL.txt"}
    assert set(listed) == files
    for name, digest in listed.items():
        assert hashlib.sha256((press.FONTS / name).read_bytes()).hexdigest() == digest
    assert "SIL OPEN FONT LICENSE Version 1.1" in (press.FONTS / "LICENSE_OFL.txt").read_text()


def test_cards_are_written_whole(tmp_path: Path):
    made = write_cards(sample_plans.disc(), tmp_path / "new" / "folder", "2026-014")
    assert [path.name for path in made] == [BENCH_CARD, KILN_CARDS]
    assert sorted(path.name for path in (tmp_path / "new" / "folder").iterdir()) == sorted([BENCH_CARD, KILN_CARDS])
    assert made[0].read_bytes() == bench_card(sample_plans.disc(), "2026-014")


def test_a_folder_that_cannot_be_is_refused_in_one_sentence(tmp_path: Path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(InputError, match="cannot be written"):
        write_cards(sample_plans.disc(), tmp_path / "file" / "folder")
    assert (tmp_path / "file").read_text() == "x"


def test_nothing_is_left_when_the_last_step_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def refuse(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(InputError):
        write_cards(sample_plans.disc(), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_times_and_temperatures_read_as_a_display_shows_them():
    # 1450 °F is 787.78 °C by the definition of the scales, (F - 32) / 1.8.
    kelvin = (1450 - 32) / 1.8 + 273.15
    assert words.celsius(kelvin) == "788 °C"
    assert words.fahrenheit(kelvin) == "1450 °F"
    assert words.clock(90) == "1 min 30 s"
    assert words.clock(119) == "2 min"
    assert words.clock(40) == "40 s"
    assert words.clock_range(sample_plans.figure(150, 120, 180, "time")) == "2 to 3 min"


def test_figures_say_their_band_and_direction():
    assert words.likely(sample_plans.figure(8e-5, 2e-5, 1.5e-4, "length")) == "0.08 mm, likely between 0.02 and 0.15 mm"
    assert (
        words.likely(sample_plans.figure(-55e6, -124e6, 17e6, "stress"))
        == "likely between 124 MPa squeezed and 17 MPa stretched"
    )
    assert words.likely(sample_plans.figure(7, 7, 7, "count")) == "7"
    assert words.likely(sample_plans.figure(1 / 3, 1 / 3, 1 / 3, "ratio")) == "0.33"


def test_typst_is_not_imported_with_the_package():
    import subprocess
    import sys

    code = "import sys, enamelwright.cards; sys.exit('typst' in sys.modules or 'segno' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_shortened_text_keeps_its_last_sentence():
    text = "Lead in " + "a very long jar name " * 12 + ": wipe wet. Follow the safety data sheet and local rules."
    short = words.shortened(text, 120)
    assert short.endswith("Follow the safety data sheet and local rules.")
    assert len(short) <= 121

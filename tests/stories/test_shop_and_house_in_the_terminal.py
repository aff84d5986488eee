"""A maker's session in the terminal around the firing: metal, house, tiles, kiln, baths, orders, sales."""

from __future__ import annotations

from pathlib import Path

import pytest
from terminal import Bench

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """A studio with a kiln, a jar and two pieces."""
    made = Bench(tmp_path_factory.mktemp("studio"))
    made.says("kiln", "keep", "front-loader", "--inside", "240x190x150")
    made.says("jar", "add", "N04", "white", "--kind", "opaque", "--family", "white", "--grams", "100", "--lot", "W7")
    made.says("piece", "start", "--label", "P-1", "--label", "P-2", "--metal", "copper", "--at", "2026-03-02 08:00")
    return made


def one_sentence(bench: Bench, *words: str) -> str:
    """Run a command that must be refused in one line, and return the line."""
    said = bench.says(*words, code=bench.run(*words)[0] or -1)
    assert said.count("\n") == 1
    assert "Traceback" not in said
    return said


def test_a_sheet_is_added_cut_and_listed(bench: Bench) -> None:
    bench.says("sheet", "add", "C-1", "copper", "18 gauge (B&S)", "--width", "300", "--length", "150", "--grams", "410")
    bench.says("sheet", "add", "S-1", "fine silver", "0.8 mm")
    (copper,) = bench.tells("sheet", "list", "--metal", "copper")
    assert (copper["sheet"], copper["thickness"], copper["grams"]) == ("C-1", "18 gauge (B&S)", "410 g")
    assert "C-1b is left" in bench.says("sheet", "cut", "C-1", "C-1b", "--width", "80", "--length", "150")
    assert [row["sheet"] for row in bench.tells("sheet", "list", "--metal", "copper")] == ["C-1b"]
    bench.says("sheet", "cut", "S-1")
    assert [row["sheet"] for row in bench.tells("sheet", "list")] == ["C-1b"]
    one_sentence(bench, "sheet", "add", "X", "moon metal")
    one_sentence(bench, "sheet", "cut", "C-1b", "--width", "20")


def test_house_rules_and_hands_are_set_shown_and_forgotten(bench: Bench) -> None:
    bench.says("rules", "set", "bow_limit=0.3 mm", "pickle=no", "hottest=1562F", "first_side=back")
    rules = {row["rule"]: row["value"] for row in bench.tells("rules", "show")}
    assert rules["bow_limit"] == "0.3 mm"
    assert rules["hottest"] == "850 °C"  # 1562 °F by the definition of the degree Fahrenheit
    assert (rules["pickle"], rules["first_side"], rules["gum_ratio"]) == ("no", "back", None)
    bench.says("rules", "set", "hottest=", "pickle=yes")
    rules = {row["rule"]: row["value"] for row in bench.tells("rules", "show")}
    assert (rules["hottest"], rules["pickle"], rules["bow_limit"]) == (None, "yes", "0.3 mm")
    bench.says("hands", "set", "balance_step=0.01 g", "sifting_loss=0.25")
    assert {row["of_the_hand"]: row["value"] for row in bench.tells("hands", "show")}["balance_step"] == "0.01 g"
    assert "gum_ratio" in one_sentence(bench, "rules", "set", "gum=1")
    one_sentence(bench, "hands", "set", "packing=5")


def test_a_support_is_kept_and_washed(bench: Bench) -> None:
    bench.says("support", "keep", "small trivet", "trivet", "--owned", "6", "--grams", "12.5")
    bench.says("support", "washed", "small trivet", "--on", "2026-03-01")
    assert bench.tells("support", "list") == [
        {"support": "small trivet", "kind": "trivet", "owned": 6, "grams": "12.5 g", "washed": "2026-03-01"}
    ]
    assert "too large" in one_sentence(bench, "support", "keep", "many", "trivet", "--owned", "3000000000")


def test_an_exposure_is_written_down_beside_what_the_coats_tell(bench: Bench) -> None:
    at = ("--at", "2026-03-02 09:00")
    bench.says("exposure", "add", "dry sanding", "--minutes", "12", "--dry", "--mask", "half mask", *at)
    bench.says("coat", "P-1", "N04", "--before", "4.5", "--after", "4.9", "--method", "sift", *at)
    (row,) = bench.tells("exposure", "list", "--since", "2026-03-01", "--until", "2026-03-03")
    assert (row["who"], row["work"], row["how_long"], row["mask"]) == ("M", "dry sanding", "12 min", "half mask")
    said = bench.says("exposure", "list", "--since", "2026-03-01", "--until", "2026-03-03")
    assert "M sifted or sprayed 0.4 g" in said
    one_sentence(bench, "exposure", "add", "breathing")


def test_a_tile_is_made_and_its_colour_typed_in(bench: Bench) -> None:
    bench.says("tile", "layout", "two spots", "1=bare", "2=flux")
    made = bench.says("tile", "make", "--layout", "two spots", "--jar", "N04")
    label = made.split(" (")[0]
    bench.says(
        "tile", "read", label, "--lightness", "71.5", "--a", "-3", "--b", "4.25", "--spot", "2", "--light", "D50",
        "--observer", "2", "--by", "instrument",
    )  # fmt: skip
    shown = bench.says("tile", "show", label)
    assert "flux" in shown
    assert all(word in shown for word in ("71.5", "-3", "4.25", "instrument"))
    one_sentence(bench, "tile", "read", label, "--lightness", "50", "--a", "0", "--b", "0", "--by", "magic")


def test_what_is_done_to_the_kiln_begins_anew_and_an_anchor_is_kept(bench: Bench) -> None:
    said = bench.says("kiln", "event", "thermocouple moved", "--note", "down 2 cm", "--at", "2026-03-02 07:00")
    assert "no longer compared" in said
    assert "no longer" not in bench.says("kiln", "event", "kiln wash", "--at", "2026-03-02 07:10")
    bench.says("kiln", "anchor", "silver-copper foil", "--shown", "771C", "--melted", "--known", "779C")
    log = bench.tells("kiln", "log")
    assert [(row["what"], row["compared_from_here_on"]) for row in log] == [
        ("kiln wash", ""),
        ("thermocouple moved", "yes"),
    ]
    assert bench.tells("kiln", "list")[0]["comparable_since"] == "2026-03-02 07:00"
    one_sentence(bench, "kiln", "event", "painted")


def test_a_bath_is_made_up_used_and_handed_in(bench: Bench) -> None:
    bench.says("bath", "open", "pickle 1", "--volume", "1L")
    bench.says("bath", "note", "pickle 1", "dip", "--piece", "P-1", "--minutes", "5")
    bench.says("bath", "note", "pickle 1", "acidity", "--ph", "2.1")
    assert [(row["bath"], row["dips"]) for row in bench.tells("bath", "list")] == [("pickle 1", 1)]
    said = bench.says("bath", "close", "pickle 1", "--into", "drum", "--volume", "0.9L")
    assert "local rules" in said
    assert bench.tells("bath", "list") == []
    assert "drum" in bench.says("bath", "list")
    one_sentence(bench, "bath", "note", "no such bath", "dip")


def test_a_bath_is_counted_and_what_may_be_done_with_it_is_said(bench: Bench) -> None:
    bench.says(
        "bath", "open", "June", "--made", "vinegar and salt", "--volume", "0.5L", "--strength", "5 %", "--salt", "15"
    )
    bench.says("bath", "note", "June", "dip", "--before", "42", "--after", "40", "--area", "500 cm2")
    (now, after) = bench.tells("bath", "show", "June", "--area", "500 cm2", "--loads", "3")
    assert (now["state"], after["state"]) == ("working", "exhausted")
    assert bench.tells("bath", "log", "June")[0]["known_by"] == "weighed"
    assert "nobody has said" in bench.says("bath", "spent", "June")
    bench.says("bath", "met", "June")
    assert "23 g of soda ash" in bench.says("bath", "spent", "June", "--allowed")
    assert "soda ash" not in bench.says("bath", "spent", "June", "--not-allowed")
    bench.says("bath", "close", "June", "--into", "drum 2", "--volume", "0.5L")
    assert "county" in bench.says("bath", "hand-in", "drum 2", "--to", "county collecting point")
    assert "bleach" in bench.says("bath", "never")
    one_sentence(bench, "bath", "met", "June", "gold")
    one_sentence(bench, "bath", "open", "tea", "--made", "tea")


def test_an_order_is_taken_paid_collected_and_its_customer_forgotten(bench: Bench) -> None:
    said = bench.says(
        "order", "take", "two white discs", "--for", "Customer A", "--agreed", "76 EUR", "--due", "2026-05-01"
    )
    number = said.split()[1].rstrip(",.")
    assert "46.00 EUR still to pay" in bench.says("order", "paid", number, "30 EUR")
    (row,) = bench.tells("order", "list")
    assert (row["for"], row["state"], row["due"]) == ("Customer A", "agreed", "2026-05-01")
    bench.says("order", "state", number, "in work")
    assert number in bench.says("open")
    bench.says("order", "paid", number, "46 EUR", "--kind", "balance")
    bench.says("order", "state", number, "collected")
    assert bench.tells("order", "list") == []
    assert "1 order stays without a name" in bench.says("order", "forget", "Customer A")
    one_sentence(bench, "order", "paid", number, "much")


def test_an_order_that_was_handed_over_is_listed_until_it_is_paid(bench: Bench) -> None:
    number = (
        bench.says("order", "take", "a pendant", "--for", "Customer B", "--agreed", "240 EUR").split()[1].rstrip(",.")
    )
    later = bench.says("order", "take", "maybe a ring", "--due", "2026-05-01").split()[1].rstrip(",.")
    bench.says("order", "paid", number, "140 EUR")
    assert [(row["order"], row["agreed"], row["to_pay"]) for row in bench.tells("order", "list")] == [
        (later, None, None), (number, "240.00 EUR", "100.00 EUR"),
    ]  # fmt: skip
    assert "100.00 EUR still to pay" in bench.says("order", "state", number, "collected")
    listed = bench.tells("order", "list")
    assert [(row["order"], row["state"], row["to_pay"]) for row in listed] == [
        (later, "asked", None), (number, "collected", "100.00 EUR"),
    ]  # fmt: skip
    assert f"Order {number} a pendant: collected, 100.00 EUR to pay." in bench.says("open")
    assert bench.tells("open")["owing"] == [{"order": number, "to pay": "100.00 EUR"}]
    bench.says("order", "paid", number, "100 EUR", "--kind", "balance")
    assert [row["order"] for row in bench.tells("order", "list")] == [later]
    assert number not in bench.says("open")


def test_what_is_no_paper_and_no_line_is_said_in_one_line(bench: Bench, tmp_path: Path) -> None:
    number = bench.says("order", "take", "a pendant").split()[1].rstrip(",.")
    assert "no sum" in one_sentence(bench, "order", "paper", number, "bill", str(tmp_path / "bill.pdf"))
    assert "offer, bill" in one_sentence(bench, "order", "paper", number, "poem", str(tmp_path / "poem.pdf"))
    assert "what is ordered" in one_sentence(bench, "order", "line", number)
    bench.says("outlet", "keep", "Gallery", "--kind", "gallery")
    assert "nothing is at Gallery" in one_sentence(
        bench, "outlet", "paper", "Gallery", "return", str(tmp_path / "r.pdf")
    )
    assert "is in work" in one_sentence(bench, "outlet", "take", "Gallery", "P-1")
    bench.says("piece", "finish", "P-1")
    bench.says("outlet", "take", "Gallery", "P-1")
    twice = one_sentence(bench, "outlet", "settle", "Gallery", "--back", "P-1", "--sold", "P-1=20 EUR")
    assert "told twice" in twice
    assert "for how much" in one_sentence(bench, "outlet", "settle", "Gallery", "--sold", "P-1")
    assert "not at Gallery" in one_sentence(bench, "outlet", "settle", "Gallery", "--back", "P-2")
    assert [row["now"] for row in bench.tells("outlet", "show", "Gallery")] == ["there"], "all of it, or nothing"
    assert not list(tmp_path.iterdir())


def test_an_order_that_was_not_collected_after_all_has_its_pieces_again(bench: Bench) -> None:
    bench.says("design", "keep", str(EXAMPLES / "clear-on-copper.toml"))
    said = bench.says("order", "take", "a tile", "--agreed", "76 EUR", "--design", "Bark tile")
    number, line = said.split()[1].rstrip(",."), said.split("--order-line")[1].split()[0]
    bench.says("piece", "start", "Bark tile", "--label", "bark", "--order-line", line)
    (made,) = (row["piece"] for row in bench.tells("piece", "list") if row["label"] == "bark")
    bench.says("piece", "finish", "bark")
    assert f"Gone with it: {made}" in bench.says("order", "state", number, "collected")
    assert f"On the bench again: {made}" in bench.says("order", "state", number, "ready")
    assert "again" not in bench.says("order", "state", number, "in work")
    assert f"Gone with it: {made}" in bench.says("order", "state", number, "collected")


def test_a_piece_is_priced_moved_and_sold(bench: Bench) -> None:
    bench.says("outlet", "keep", "Spring fair", "--kind", "fair", "--commission", "0.15")
    assert bench.tells("outlet", "list") == [{"outlet": "Spring fair", "kind": "fair", "keeps": "15%"}]
    bench.says("price", "set", "38 EUR", "--piece", "P-1", "--from", "2026-03-01")
    bench.says("price", "set", "42 EUR", "--piece", "P-1", "--channel", "fair", "--from", "2026-04-01")
    prices = bench.tells("price", "list", "--piece", "P-1")
    assert [(row["since"], row["channel"]) for row in prices] == [("2026-04-01", "fair"), ("2026-03-01", None)]
    assert bench.says("move", "P-1", "fair", "--outlet", "Spring fair", "--asked", "42 EUR") == (
        "2026-001: fair, Spring fair.\n"
    )
    assert "sold for 42.00 EUR" in bench.says("sold", "P-1", "42 EUR", "--outlet", "Spring fair", "--how", "cash")
    story = bench.says("piece", "show", "P-1")
    assert "sold" in story
    one_sentence(bench, "move", "P-2", "nowhere")
    one_sentence(bench, "price", "set", "38 EUR")
    assert "dropped" in bench.says("piece", "mishap", "P-2", "dropped")

"""What a maker would object to in the words of a plan, each from a whole piece file."""

import re
import tomllib

import pytest
from craft.sequence_cases import Planned, data_of, plan

from enamelwright.craft.bench import Bench, Kiln
from enamelwright.craft.cautions import cautions_for

OPAQUE, CLEAR, FLUX = "lead_free_opaque_titania_medium", "lead_free_transparent_medium", "leaded_flux_clear"


def coat(face: str, jar: str = OPAQUE, more: str = "") -> str:
    return f'\n[[coats]]\nface = "{face}"\njar = "{jar}"\npowder_depth_mm = 0.3\n{more}\n'


def file(*coats: str, metal: str = "copper", head: str = "", extra: str = "", across: float = 30) -> Planned:
    """Plan a whole piece file."""
    text = f"""
format = 1
name = "Invented piece"
invented = true
{head}
[metal]
kind = "{metal}"
thickness_mm = 0.9
{extra}
[outline]
shape = "circle"
diameter_mm = {across}
{"".join(coats)}"""
    return plan(tomllib.loads(text))


def said(planned: Planned) -> str:
    """Everything said at the bench, jar names taken out."""
    sequence = planned.sequence
    lines = [f"{op.words} {op.why}" for op in sequence.operations]
    lines += [f"{f.words} {f.why} {f.rests_on}" for f in sequence.firings]
    lines += [advice.words for advice in sequence.advice]
    text = "\n".join(lines)
    for layer in planned.layup.layers:
        text = text.replace(layer.jar.name, "JAR")
    return text


def words(planned: Planned, work: str) -> list[str]:
    return [op.words for op in planned.sequence.operations if op.work == work]


def sided(planned: Planned) -> list[str]:
    """Words that only a sheet has; glass that draws back and a piece put back in are no sides."""
    text = re.sub(r"\b(draw|bring|put|sticks?) back\b", "", said(planned))
    return re.findall(r"\b(?:front|back|both faces)\b.{0,30}", text, re.IGNORECASE)


# --- 1. sterling, fine silver, gold: common practice, no source ---------------------------------------------


@pytest.mark.parametrize("pickle", ["true", "false"])
@pytest.mark.parametrize("clean", ["scoured", "pickled", "burned off", "unknown"])
def test_a_raised_fine_silver_skin_is_never_rubbed(pickle: str, clean: str):
    habits = f"\n[firing]\npickle = {pickle}\n"
    planned = file(
        coat("back"), coat("front", CLEAR), coat("front", CLEAR), habits,
        metal="sterling silver", extra=f'clean = "{clean}"',
    )  # fmt: skip
    assert not re.search(r"abrasive (pad|stick)|\bScour|Rub the|File the", said(planned))
    order = [op.words for op in planned.sequence.operations]
    raised = next(n for n, line in enumerate(order) if "fine-silver skin" in line)
    cleaned = next(n for n, line in enumerate(order) if "brass brush" in line)
    assert raised < cleaned < next(n for n, op in enumerate(planned.sequence.operations) if op.work == "lay")
    assert all("glass or soft brass brush" in line for line in words(planned, "clean oxide"))


@pytest.mark.parametrize("metal", ["sterling silver", "fine silver"])
@pytest.mark.parametrize("jar", [CLEAR, FLUX])
def test_the_first_clear_coat_on_silver_goes_to_gloss(metal: str, jar: str):
    planned = file(coat("back"), coat("front", jar), coat("front", jar), metal=metal)
    assert "cleared" not in planned.targets
    assert not re.search("red oxide|cleared", said(planned))
    copper = file(coat("back"), coat("front", jar), coat("front", jar))
    assert copper.targets[0] == "cleared"


def test_fine_silver_and_gold_are_not_rubbed_between_firings():
    for metal in ("fine silver", "fine gold"):
        planned = file(coat("back"), coat("front", CLEAR), coat("front", CLEAR), metal=metal)
        assert not words(planned, "clean oxide")
        assert "abrasive" not in said(planned)


# --- 2. from the piece as it is -----------------------------------------------------------------------------


@pytest.mark.parametrize(("done", "bare"), [("back", "front"), ("front", "back")])
@pytest.mark.parametrize("jar", [OPAQUE, CLEAR])
def test_a_face_left_bare_through_firings_is_cleaned_before_its_first_coat(done: str, bare: str, jar: str):
    planned = file(coat(done, jar, "fired = true"), coat(bare, jar), coat("front", jar))
    steps = planned.sequence.operations
    cleaned = next(n for n, op in enumerate(steps) if op.work == "clean oxide")
    assert f"bare {bare}" in steps[cleaned].words
    assert "edges" in steps[cleaned].words
    assert cleaned < next(n for n, op in enumerate(steps) if op.work == "lay")
    first = steps[next(n for n, op in enumerate(steps) if op.work == "fire")]
    assert first.face == bare
    assert "bare front stays loose" not in said(planned)
    assert "needs metal that has not yet been through the kiln" not in said(planned)
    assert f"The {done} already carries glass" in said(planned)


def test_both_at_once_is_not_said_of_a_piece_with_one_face_fired():
    planned = file(coat("front", OPAQUE, "fired = true"), coat("back"), "\n[firing]\nboth_at_once = true\n")
    assert "at once" not in said(planned)


def test_a_crack_is_fired_again_before_anything_is_cleaned():
    extra = '\n[so_far]\nfirings = 1\nfault = "hairline"\n'
    planned = file(coat("front", OPAQUE, "fired = true"), coat("back"), extra)
    assert planned.works[0] == "fire"
    assert planned.works.index("clean oxide") < planned.works.index("lay")


# --- 3. steel and large plates ------------------------------------------------------------------------------


@pytest.mark.parametrize(("across", "by_hand"), [(40, True), (59, True), (61, False), (200, False)])
def test_only_a_small_plate_is_turned_on_the_fingertips(across: float, by_hand: bool):
    habits = "\n[firing]\nboth_at_once = true\n"
    turned = words(file(coat("back"), coat("front"), habits, across=across), "turn")
    assert len(turned) == 1
    assert ("fingertips" in turned[0]) is by_hand
    if not by_hand:
        assert "slip or spray" in turned[0]
        assert "one face after the other" in turned[0]
    wet = [coat(face, OPAQUE, 'method = "spray"') for face in ("back", "front")]
    hung = words(file(*wet, habits, across=across), "turn")
    assert hung[0].startswith("Hang") is not by_hand


def test_the_grounded_edge_of_a_steel_sign_is_only_brushed():
    planned = plan(data_of("house-sign"))
    assert "fingertips" not in said(planned)
    cleaned = words(planned, "clean oxide")
    assert cleaned
    assert all("loose scale" in line and "stick" not in line for line in cleaned)
    assert "File the edge" not in said(planned)


# --- 4. beads, rings, castings; torch -----------------------------------------------------------------------


@pytest.mark.parametrize("example", ["dipped-bead", "band-ring", "cast-seal"])
def test_a_form_that_is_no_sheet_has_no_front_and_back(example: str):
    assert not sided(plan(data_of(example)))


@pytest.mark.parametrize("form", ["bead", "ring", "casting"])
@pytest.mark.parametrize("clean", ["scoured", "pickled", "burned off", "greasy", "unknown"])
@pytest.mark.parametrize("metal", ["copper", "sterling silver", "enamelling steel"])
def test_nor_has_one_glassed_on_both_sides(form: str, clean: str, metal: str):
    planned = file(
        coat("back"), coat("front"), coat("front", CLEAR, "stone_after = true"), coat("front", CLEAR),
        "\n[firing]\nboth_at_once = true\n", head=f'form = "{form}"', extra=f'clean = "{clean}"', metal=metal,
    )  # fmt: skip
    assert not sided(planned)
    assert not re.search(r"draw (inside|other side)|put (inside|other side)", said(planned))


def test_a_torch_bead_is_rolled_hot_and_not_dried():
    planned = plan(data_of("dipped-bead"))
    laid = words(planned, "lay")
    assert laid
    assert all("flame" in line and "roll or dip" in line for line in laid)
    assert "dry" not in planned.works
    packed = data_of("dipped-bead")
    packed["coats"][0]["method"] = "wet-pack"
    assert "dry" in plan(packed).works


@pytest.mark.parametrize("example", ["dipped-bead", "torch-disc"])
def test_the_torch_brings_its_own_cautions(example: str):
    planned = plan(data_of(example))
    text = " ".join(cautions_for(planned.layup, planned.sequence.operations)).casefold()
    assert all(word in text for word in ("gas", "flame", "soot", "ventilat", "local rules"))
    kiln = plan(data_of("sifted-pendant"))
    assert "torch" not in " ".join(cautions_for(kiln.layup, kiln.sequence.operations)).casefold()


def test_a_torch_in_the_studio_is_known_by_its_kind():
    data = data_of("sifted-pendant")
    data["firing"] = {"kiln": "burner"}
    studio = Bench.starter()
    studio = studio.model_copy(update={"kilns": (Kiln(name="burner", kind="torch"),)})
    planned = plan(data, studio)
    lines = cautions_for(planned.layup, planned.sequence.operations, studio)
    assert any("soot" in line for line in lines)


# --- 5. a reason once ---------------------------------------------------------------------------------------


def test_a_reason_is_given_where_it_first_comes_up_and_not_again():
    planned = file(coat("back"), *[coat("front") for _ in range(4)])
    for work in ("cool", "dry"):
        reasons = [op.why for op in planned.sequence.operations if op.work == work]
        assert len(reasons) == 5
        assert reasons[0]
        assert not any(reasons[1:])
    assert all(firing.why for firing in planned.sequence.firings)


# --- 6. a bowl ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("dome", "front_first"), [(-20, False), (-20, True), (20, False)])
def test_a_bowl_is_fired_upside_down_on_its_rim(dome: float, front_first: bool):
    # Positive dome: the front is the outside, so it is the face that looks up when the bowl is upside down.
    outside = "back" if dome < 0 else "front"
    planned = file(coat("back"), coat("front", CLEAR if front_first else OPAQUE), head=f"dome_mm = {dome}", across=80)
    for firing in planned.sequence.firings:
        assert ("upside down" in firing.rests_on) is (firing.face_up == outside)
    shallow = file(coat("back"), coat("front"), head=f"dome_mm = {dome / 2}", across=80)
    assert not any("upside down" in firing.rests_on for firing in shallow.sequence.firings)

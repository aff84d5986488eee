"""Everything the coats editor shows of one answer, gathered before it is drawn."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from enamelwright import units
from enamelwright.craft.coat import Coat
from enamelwright.craft.jar import Jar
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import CoatWeight, Plan
from enamelwright.craft.verdict import Verdict
from enamelwright.figure import Figure
from enamelwright.pictures.lights import pattern_of
from enamelwright.pictures.section import bow_words, finding, state_after
from enamelwright.pictures.stack import jar_named, thickness_after
from enamelwright.pictures.stress_view import CoatStress, stress_words, stresses
from enamelwright.web import drawings
from enamelwright.web.coat_forms import MEASURED, SLIDER
from enamelwright.web.window_lines import WindowLine, window_lines
from enamelwright.workshop.trying import Tried

#: How an amount may be told, in words.
WAYS: tuple[tuple[str, str], ...] = (
    ("powder_depth", "Powder depth, mm"),
    ("fired_thickness", "Glass after firing, mm"),
    ("weight", "Weighed out per piece, g"),
    ("siftings", "Siftings"),
    ("look thin", "By look: thin"),
    ("look just hidden", "By look: just hidden"),
    ("look heavy", "By look: heavy"),
    ("fill", "Filled to level"),
    ("usual", "The usual amount"),
)
#: How powder is laid.
METHODS: tuple[str, ...] = ("sift", "wet-pack", "slip", "spray", "paint", "trail", "place")
#: Warnings shown unasked.
UNASKED = 3
#: Decimals of an amount in its unit.
_DECIMALS = {"powder_depth": 2, "fired_thickness": 3, "weight": 3, "siftings": 0}


@dataclass(frozen=True)
class Row:
    """One line of the list of bands, from the front's surface down to the back's.

    Parameters
    ----------
    number : int
        Number of the coat; -1 for the metal.
    key, name : str
        On the drawing, and of its jar.
    thickness : str
        Of fired glass or metal.
    powder : str
        To weigh out.
    words : str
        What else matters: how often laid, where.
    face : str
        Face it lies on.
    worst : Verdict or None
        The worst that is said of this very coat.
    on : bool
        Whether it is on the piece at the firing shown.
    """

    number: int
    key: str
    name: str
    thickness: str
    powder: str = ""
    words: str = ""
    face: str = ""
    worst: Verdict | None = None
    on: bool = True


@dataclass(frozen=True)
class Chosen:
    """The coat that is being edited.

    Parameters
    ----------
    number, place, of : int
        Number in the file, place on its face from 1 at the metal, and how many lie there.
    key : str
        Name on the drawing.
    coat : Coat
        As described.
    jar : Jar or None
        Its jar.
    jar_id : str
        Chosen in the list of jars.
    by : str
        How its amount is told.
    amount : str
        In that way; of the plan where the maker said nothing measured.
    unit, slider : str
        Unit of the amount, and the way the slider speaks.
    value, low, high, step : float
        Of the slider.
    weight : CoatWeight
        All three amounts.
    kind : str
        How it is hatched, in words.
    """

    number: int
    place: int
    of: int
    key: str
    coat: Coat
    jar: Jar | None
    jar_id: str
    by: str
    amount: str
    unit: str
    slider: str
    value: float
    low: float
    high: float
    step: float
    weight: CoatWeight
    kind: str


@dataclass(frozen=True)
class View:
    """What the page draws; see the templates ``coats.html`` and ``coats_live.html``."""

    plan: Plan
    settled: bool
    at: int
    after: int | None
    wide: Markup | None
    narrow: Markup | None
    scale: str
    narrow_scale: str
    finding: str
    rows: tuple[Row, ...]
    chosen: Chosen | None
    bow_likely: str
    bow_range: str
    bow_words: str
    lead: Verdict | None
    unasked: tuple[Verdict, ...]
    others: tuple[Verdict, ...]
    stress: Markup | None
    stress_rows: tuple[CoatStress, ...]
    stress_words: str
    windows: tuple[WindowLine, ...]
    jars: tuple[tuple[str, tuple[Jar, ...]], ...]
    cells: tuple[str, ...]
    cells_view: Markup | None
    total: str
    firings: int


def view(
    tried: Tried, piece: Piece, at: int, after: int | None, shape: Shape | None, *, narrow: bool = False,
    both: bool = True,
) -> View:  # fmt: skip
    """Gather everything of one answer.

    Parameters
    ----------
    tried : Tried
        The answer.
    piece : Piece
        What is on the board.
    at : int
        Coat that is being edited; -1 for none.
    after : int or None
        Firing the drawing shows; None for the finished piece.
    shape : Shape or None
        Drawn outline, when the cells are to be shown.
    narrow : bool
        Whether only the drawing for a telephone is wanted.
    both : bool
        Whether drawings for both widths are wanted, as before the width of the device is known.
    """
    plan, bench = tried.plan, tried.bench
    state = state_after(plan, after)
    counting = tuple(verdict for verdict in plan.leading if verdict.level != "good")
    leading = plan.leading[0] if plan.leading else None
    rows = stresses(plan, after, bench)
    cells = tuple(dict.fromkeys([*(cell.name for cell in piece.cells), *(shape.cells if shape else ())]))
    bow = ("not worked out", "") if state is None else bow_and_range(state.bow)
    return View(
        plan=plan,
        settled=tried.settled,
        at=at,
        after=after,
        wide=drawings.section(plan, bench, firing=after, key="wide") if both or not narrow else None,
        narrow=drawings.section(plan, bench, firing=after, narrow=True, key="narrow") if both or narrow else None,
        scale=drawings.scale(plan, bench, firing=after, narrow=False) if both or not narrow else "",
        narrow_scale=drawings.scale(plan, bench, firing=after, narrow=True) if both or narrow else "",
        finding=finding(plan, after, bench),
        rows=_rows(plan, after),
        chosen=_chosen(tried, piece, at) if at >= 0 else None,
        bow_likely=bow[0],
        bow_range=bow[1],
        bow_words=bow_words(plan, after),
        lead=leading,
        unasked=counting[:UNASKED],
        others=(*counting[UNASKED:], *(verdict for verdict in plan.leading if verdict.level == "good")),
        stress=drawings.stress(plan, bench, firing=after) if rows else None,
        stress_rows=rows,
        stress_words=stress_words(rows),
        windows=window_lines(plan),
        jars=_jars(tried, piece),
        cells=cells,
        cells_view=(
            drawings.plan_view(shape, piece.name, plan=plan, bench=bench, firing=after, key="cells")
            if shape is not None and shape.cells
            else None
        ),
        total=_total(plan),
        firings=len(plan.firings),
    )


def bow_and_range(bow: Figure) -> tuple[str, str]:
    """Return the likely bow and its range, high or low in the middle."""
    width = bow.high - bow.low
    value, low, high = (units.show(part, "length", "mm", width) for part in (bow.value, bow.low, bow.high))
    likely = f"{value.lstrip('-')} {'high' if bow.value > 0 else 'low'}" if value.strip("-0. m") else "flat"
    if low == high:
        return likely, ""
    ends = [end.lstrip("-").removesuffix("mm").strip() for end in (low, high)]
    if not low.strip("-0. m"):
        return likely, f"{ends[0]} to {ends[1]} mm high"
    if not high.strip("-0. m"):
        return likely, f"{ends[1]} to {ends[0]} mm low"
    if bow.low < 0 < bow.high:
        return likely, f"{ends[0]} mm low to {ends[1]} high"
    if bow.low < 0:
        return likely, f"{ends[1]} to {ends[0]} mm low"
    return likely, f"{ends[0]} to {ends[1]} mm high"


def _rows(plan: Plan, after: int | None) -> tuple[Row, ...]:
    """List the bands from the front's surface down."""
    worst: dict[int, Verdict] = {}
    for verdict in plan.leading:
        if verdict.level == "good":
            continue
        for number in verdict.place.coats:
            worst.setdefault(number, verdict)
    made: dict[str, list[Row]] = {"front": [], "back": []}
    for weight in sorted(plan.weights, key=lambda one: one.coat):
        coat = plan.piece.coats[weight.coat]
        place = len(made[weight.face]) + 1
        now = thickness_after(plan, weight, after)
        made[weight.face].append(
            Row(
                number=weight.coat,
                key=f"{weight.face[0].upper()}{place}",
                name=weight.jar_name,
                thickness=_mm(now),
                powder=weight.in_all.shown("g") if weight.weighable else "by eye",
                words=_words(coat, weight),
                face=weight.face,
                worst=worst.get(weight.coat),
                on=now > 0,
            )
        )
    sheet = plan.piece.metal.thickness
    metal = Row(-1, "M", plan.metal_name, _mm(sheet) if sheet else "not given")
    return (*reversed(made["front"]), metal, *made["back"])


def _words(coat: Coat, weight: CoatWeight) -> str:
    said = []
    if weight.layings > 1:
        said.append(f"laid {weight.layings} times")
    if coat.cells:
        said.append(", ".join(coat.cells[:UNASKED]) + (" …" if len(coat.cells) > UNASKED else ""))
    if coat.with_previous:
        said.append("fired with the one before")
    if coat.fired:
        said.append("on it already")
    return "; ".join(said)


def _chosen(tried: Tried, piece: Piece, at: int) -> Chosen | None:
    plan = tried.plan
    weight = next((one for one in plan.weights if one.coat == at), None)
    if weight is None:
        return None
    coat = piece.coats[at]
    place = sum(1 for other in piece.coats[: at + 1] if other.face == coat.face)
    by = _way(coat)
    slider = by if by in SLIDER else "powder_depth"
    value = _in_unit(slider, coat, weight)
    low, high, step = SLIDER[slider]
    jar = jar_named(piece, coat.jar, tried.bench)
    return Chosen(
        number=at,
        place=place,
        of=len(piece.coats_on(coat.face)),
        key=f"{coat.face[0].upper()}{place}",
        coat=coat,
        jar=jar,
        jar_id=jar.id if jar is not None else coat.jar,
        by=by,
        amount=f"{value:.{_DECIMALS[slider]}f}".rstrip("0").rstrip(".") if slider != "siftings" else f"{value:.0f}",
        unit=MEASURED.get(slider, ""),
        slider=slider,
        value=value,
        low=low,
        high=max(high, _beyond(value)),
        step=step,
        weight=weight,
        kind=pattern_of(jar.kind if jar is not None else None),
    )


def _beyond(value: float) -> float:
    """Return how far the slider reaches when the amount is more than usual: half as much again, rounded up."""
    half = 1.5
    return round(value * half + 0.05, 1)


def _way(coat: Coat) -> str:
    given = coat.amount_words
    if given == "look":
        return f"look {coat.look}"
    return given or "usual"


def _in_unit(way: str, coat: Coat, weight: CoatWeight) -> float:
    """Return the amount in the way's unit: as told, else as planned."""
    if way == "siftings":
        return float(coat.siftings or 1)
    told = getattr(coat, way)
    planned = {
        "powder_depth": weight.powder_depth.value,
        "fired_thickness": weight.fired_thickness.value,
        "weight": weight.to_weigh.value,
    }[way]
    dimension = "mass" if way == "weight" else "length"
    return units.from_si(told if told is not None else planned, MEASURED[way], dimension)


def _jars(tried: Tried, piece: Piece) -> tuple[tuple[str, tuple[Jar, ...]], ...]:
    """Group the jars: of this piece, of the studio, and classes that stand in for a jar."""
    mine = {jar.id for jar in piece.jars}
    used = {coat.jar.casefold() for coat in piece.coats}
    of_piece = [*piece.jars, *(jar for jar in tried.bench.away if jar.id.casefold() in used and jar.id not in mine)]
    bench_jars, classes = [], []
    for jar in tried.bench.jars:
        if jar.id in mine:
            continue
        if jar.id.casefold() in used or jar.name.casefold() in used:
            of_piece.append(jar)
        elif jar.starter or not _is_class(jar):
            bench_jars.append(jar)
        else:
            classes.append(jar)
    groups = (
        ("In this piece", of_piece), ("Your jars", bench_jars), ("A kind of glass, until you have the jar", classes),
    )  # fmt: skip
    return tuple((words, tuple(jars)) for words, jars in groups if jars)


def _is_class(jar: Jar) -> bool:
    from enamelwright.craft.starter import starter_jars

    return any(jar.id == other.id for other in starter_jars())


def _total(plan: Plan) -> str:
    """Say all powder of one piece."""
    grams = sum(weight.in_all.value for weight in plan.weights)
    return units.show(grams, "mass", "g", grams / 10)


def _mm(value: float) -> str:
    return f"{units.from_si(value, 'mm', 'length'):.2f} mm"

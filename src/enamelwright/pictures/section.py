"""The section: a piece seen edge-on, to scale, with the bow and the verdicts on the bands they judge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.plan import FiringState, Plan
from enamelwright.craft.verdict import Verdict
from enamelwright.pictures import svg
from enamelwright.pictures.fills import fill_of, pattern_definitions
from enamelwright.pictures.foretold import Foretold, coat_colours, words_of
from enamelwright.pictures.lights import LEVEL_WORDS, LIGHTS, Light, Tokens
from enamelwright.pictures.stack import Band, CoatLook, Stack, stack_after

#: How often thickness may be drawn larger than width.
EXAGGERATIONS = (50, 40, 30, 20, 15, 10, 8, 6, 5, 4, 3, 2, 1.5, 1)
# Measures of the drawing, mm on paper.
LEFT, RIGHT_LABELS, RIGHT_BARE = 8.0, 23.0, 1.0
WORD, SMALL, ROW, GAP = 2.75, 2.5, 4.2, 1.2
OUTLINE, LEADER, HALO = 0.22, 0.16, 2.6
MARK, DOT = 3.4, 0.5
#: Room a mark with its word takes along its row, and how far it keeps from a coat's name.
MARK_STEP, CLEAR = 15.0, 3.2
LABEL_STEP, KEY_STEP = 3.3, 5.2
LEAST_WIRE = 0.35
BODY_HEIGHT = 15.0
#: Width drawn for a form whose size is not known [m].
SOME_WIDTH = 0.03
#: Share of the body the layers must fill to be told apart, and the most a lowered dome may take of it.
READABLE, DOME = 0.38, 0.42


@dataclass(frozen=True)
class Frame:
    """From shares of the width and metres to millimetres on paper.

    Parameters
    ----------
    left, width : float
        Left end and width of the piece on paper [mm].
    base : float
        Where the metal's back lies at the rim, from the top [mm].
    up : float
        Millimetres on paper for a metre of height.
    rise : float
        Dome and bow together as drawn [m]; positive when the front is convex.
    times : float
        How many times larger thickness is drawn than width.
    body : float
        Height of the piece on paper [mm].
    lowered : bool
        Whether the dome is drawn lower than it is.
    """

    left: float
    width: float
    base: float
    up: float
    rise: float
    times: float
    body: float
    lowered: bool

    def at(self, share: float, height: float) -> svg.Point:
        """Return the point of the drawing for a share of the width and a height [m]."""
        lift = self.rise * (1 - (2 * share - 1) ** 2)
        return self.left + share * self.width, self.base - (height + lift) * self.up

    def edge(self, start: float, end: float, height: float) -> str:
        """Write the exact curve of one surface, as the one quadratic that a stretch of a parabola is."""
        x0, y0 = self.at(start, height)
        x1, y1 = self.at(end, height)
        slope = -self.up * self.rise * (-4) * (2 * start - 1)
        bend = y0 + slope * (end - start) / 2
        return f"Q{svg.number((x0 + x1) / 2)} {svg.number(bend)} {svg.number(x1)} {svg.number(y1)}"

    def band(self, band: Band) -> str:
        """Write the outline of one band."""
        a, b = self.at(band.left, band.high), self.at(band.right, band.low)
        return (
            f"M{svg.number(a[0])} {svg.number(a[1])}{self.edge(band.left, band.right, band.high)}"
            f"L{svg.number(b[0])} {svg.number(b[1])}{self.edge(band.right, band.left, band.low)}Z"
        )


def section_svg(
    plan: Plan,
    firing: int | None = None,
    width_mm: float = 120.0,
    light: Light = "paper",
    *,
    bench: Bench | None = None,
    body_mm: float = BODY_HEIGHT,
    labels: bool = True,
    marks: int = 3,
    caption: bool = True,
    key: str = "section",
) -> str:
    """Draw the piece edge-on.

    Width is to scale; thickness, dome and bow share one exaggeration, printed in words. Thickness is
    measured upright, so on a steep dome a coat looks as thick at the rim as in the middle.

    Parameters
    ----------
    plan : Plan
        The plan.
    firing : int or None
        After which firing; None for the finished piece, 0 for bare metal.
    width_mm : float
        Width of the picture.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    bench : Bench, optional
        Where jars are looked up that the piece file does not carry.
    body_mm : float
        Height the layers may take.
    labels : bool
        Whether each band carries its name and thickness.
    marks : int
        How many verdict marks at most, worst first.
    caption : bool
        Whether scale and bow stand below in words.
    key : str
        Start of every id, so that several pictures can share a page.

    Returns
    -------
    str
        SVG text; byte-identical for identical input. Every coat is a group with ``data-coat``.
    """
    tokens = LIGHTS[light]
    stack = stack_after(plan, firing, bench)
    chosen = marked(plan, stack)[:marks]
    inner = any(not _reaches_rim(stack, coat) for coat in stack.coats)
    words_row = ROW if any(not _below(v) for v in chosen) else 0.0
    above = words_row + (ROW if inner and labels else 0.0)
    below = ROW if any(_below(v) for v in chosen) else 0.0
    left, room = _room(width_mm, labels)
    frame = _fit(stack, plan.chord, left, room, above + GAP, body_mm)
    height = above + GAP + frame.body + GAP + below
    drawn = [pattern_definitions(light, key)]
    colours = {} if light == "paper" else coat_colours(plan, stack.coats, firing, bench)
    drawn += _bands(plan, stack, frame, light, key, colours)
    if labels:
        height = max(height, _labels(plan, stack, frame, tokens, drawn, above, height))
    _marks(stack, chosen, frame, tokens, drawn, words_row, above + GAP + frame.body)
    if caption:
        for words in filter(None, (_scale_words(frame, stack), bow_words(plan, firing), words_of(colours.values()))):
            height += ROW
            drawn.append(svg.text(left, height - 1.0, words, SMALL, tokens.quiet))
    title = f"{plan.piece.name}, seen edge-on"
    return svg.document(width_mm, height, drawn, title, finding(plan, firing, bench), key, tokens.text)


def scale_words(
    plan: Plan,
    firing: int | None = None,
    width_mm: float = 120.0,
    *,
    bench: Bench | None = None,
    body_mm: float = BODY_HEIGHT,
    labels: bool = True,
) -> str:
    """Say how the picture with these arguments is scaled."""
    stack = stack_after(plan, firing, bench)
    left, room = _room(width_mm, labels)
    return _scale_words(_fit(stack, plan.chord, left, room, 0.0, body_mm), stack)


def colour_words(plan: Plan, firing: int | None = None, *, bench: Bench | None = None) -> str:
    """Say what the colours of the picture are worth; empty when none is foretold."""
    return words_of(coat_colours(plan, stack_after(plan, firing, bench).coats, firing, bench).values())


def _scale_words(frame: Frame, stack: Stack) -> str:
    words = "Drawn to one scale" if frame.times == 1 else f"Thickness drawn ×{frame.times:g}"
    if frame.lowered:
        words += ", the dome lower than it is"
    if stack.sketched:
        words += ", cells sketched"
    return words + "."


def _room(width: float, labels: bool) -> tuple[float, float]:
    """Return the left margin and the width left for the piece."""
    left = LEFT if labels else RIGHT_BARE
    return left, width - left - (RIGHT_LABELS if labels else RIGHT_BARE)


def _fit(stack: Stack, chord: float, left: float, room: float, top: float, body: float) -> Frame:
    """Choose the exaggeration and the scale, and put the drawing where it belongs.

    A dome so high that no coat could be told from the next is drawn lower, and the words say so.
    """
    across = chord if chord > 0 else SOME_WIDTH
    bow, thick = stack.bow or 0.0, stack.high - stack.low
    scale = room / across
    tall = thick + abs(stack.dome + bow)
    times = next((t for t in EXAGGERATIONS if tall * scale * t <= body), 1)
    dome, lowered = stack.dome, False
    if dome and thick * scale * times < READABLE * body:
        times = next((t for t in EXAGGERATIONS if (thick + abs(bow)) * scale * t <= (1 - DOME) * body), 1)
        most = DOME * body / (scale * times)
        lowered = abs(dome) > most
        dome = max(-most, min(most, dome))
        tall = thick + abs(dome + bow)
    rise = dome + bow
    scale = min(scale, body / (tall * times))
    width = across * scale
    up = scale * times
    base = top + (stack.high + max(rise, 0.0)) * up
    return Frame(left + (room - width) / 2, width, base, up, rise, times, tall * up, lowered)


def _bands(
    plan: Plan, stack: Stack, frame: Frame, light: Light, key: str, colours: Mapping[int, Foretold]
) -> list[str]:
    tokens = LIGHTS[light]
    stroke = f'stroke="{tokens.text}" stroke-width="{svg.number(OUTLINE)}" stroke-linejoin="round"'
    # A second, wider line in the colour of the ground parts two pale or two dark coats from each other.
    halo = "" if light == "paper" else f' stroke="{tokens.ground}" stroke-width="{svg.number(OUTLINE * HALO)}"'
    metal = fill_of(None, light, key, plan.metal_name)
    drawn = [f'<g id="{svg.safe(key)}-metal" data-part="metal">']
    drawn += [f'<path d="{frame.band(band)}" fill="{metal[0]}" {stroke}/>' for band in stack.metal]
    drawn.append("</g>")
    for coat in stack.coats:
        told = colours.get(coat.number)
        base, over = fill_of(coat, light, key, "", told.colour if told else None)
        about = f", {told.words()}" if told else ""
        drawn.append(
            f'<g id="{svg.safe(key)}-coat-{coat.number}" data-part="coat" data-coat="{coat.number}"'
            f' data-face="{coat.face}" data-thickness-mm="{units.from_si(coat.thickness, "mm", "length"):.4f}">'
            f"<title>{svg.safe(coat.key)} {svg.safe(coat.name)}{about}</title>"
        )
        for band in stack.bands:
            if band.coat == coat.number:
                path = frame.band(band)
                drawn.append(f'<path d="{path}" fill="{base}"{halo}/>')
                drawn.append(f'<path d="{path}" fill="{over}" {stroke}/>')
        drawn.append("</g>")
    for wire in stack.wires:
        wide = max(wire.thickness * frame.width / max(plan.chord, 1e-9), LEAST_WIRE)
        x, y1 = frame.at(wire.at, wire.low)
        y0 = frame.at(wire.at, wire.high)[1]
        x = min(max(x, frame.left + wide / 2), frame.left + frame.width - wide / 2)
        drawn.append(
            f'<rect data-part="wire" x="{svg.number(x - wide / 2)}" y="{svg.number(y0)}" width="{svg.number(wide)}"'
            f' height="{svg.number(y1 - y0)}" fill="{metal[0]}" {stroke}/>'
        )
    return drawn


def millimetres(value: float) -> str:
    """Write a thickness [m] to the hundredth of a millimetre, the most a bench can tell."""
    return f"{units.from_si(value, 'mm', 'length'):.2f} mm"


def _reaches_rim(stack: Stack, coat: CoatLook) -> bool:
    return any(band.coat == coat.number and band.right > 1 - 1e-9 for band in stack.bands)


def _spread(wanted: list[float], step: float, low: float) -> list[float]:
    """Push label heights apart, keeping their order and as near as possible to where they belong."""
    groups: list[list[float]] = []  # each group: wanted mean, count
    for y in wanted:
        groups.append([y, 1.0])
        while len(groups) > 1 and groups[-1][0] - groups[-2][0] < step * (groups[-1][1] + groups[-2][1]) / 2:
            last = groups.pop()
            count = groups[-1][1] + last[1]
            groups[-1] = [(groups[-1][0] * groups[-1][1] + last[0] * last[1]) / count, count]
    placed = [mean + step * (n - (count - 1) / 2) for mean, count in groups for n in range(int(count))]
    short = max(0.0, low - placed[0]) if placed else 0.0
    return [y + short for y in placed]


def _last_band(stack: Stack, coat: CoatLook) -> Band:
    return next(band for band in reversed(stack.bands) if band.coat == coat.number)


def _keys(stack: Stack, frame: Frame) -> list[tuple[tuple[float, float, str], float]]:
    """Return (where a coat inside the rim lies, its name) and where along the row above its name stands."""
    inside: dict[tuple[float, float], list[tuple[Band, CoatLook]]] = {}
    for coat in stack.coats:
        if not _reaches_rim(stack, coat):
            band = _last_band(stack, coat)
            inside.setdefault((band.left, band.right), []).append((band, coat))
    spots = []
    for (start, end), held in inside.items():
        for turn, (band, coat) in enumerate(held, 1):
            share = start + (end - start) * turn / (len(held) + 1)
            spots.append((*frame.at(share, (band.low + band.high) / 2), coat.key))
    spots.sort()
    return list(zip(spots, _spread([spot[0] for spot in spots], KEY_STEP, frame.left), strict=True))


def _labels(
    plan: Plan, stack: Stack, frame: Frame, tokens: Tokens, drawn: list[str], top: float, height: float
) -> float:
    """Name every band; return the height the labels need."""
    edge = frame.left + frame.width
    rows: list[tuple[float, str, str]] = []
    for coat in stack.coats:
        if _reaches_rim(stack, coat):
            band = _last_band(stack, coat)
            rows.append((frame.at(1.0, (band.low + band.high) / 2)[1], coat.key, millimetres(coat.thickness)))
    for (x, y, name), to in _keys(stack, frame):
        line = svg.points([(to, top), (x, y)])
        drawn.append(f'<polyline points="{line}" {svg.outlined(tokens.ground, LEADER * 4)}/>')
        drawn.append(f'<polyline points="{line}" {svg.outlined(tokens.text, LEADER)}/>')
        drawn.append(svg.circle((x, y), 0.5, f'fill="{tokens.text}"'))
        drawn.append(svg.text(to, top - 0.8, name, WORD, tokens.text, "middle", bold=True))
    shown = millimetres(stack.thickness) if stack.known_thickness else "not given"
    rows.append((frame.at(1.0, stack.thickness / 2)[1], "M", shown))
    rows.sort()
    placed = _spread([row[0] for row in rows], LABEL_STEP, top + WORD)
    for (y, name, shown), to in zip(rows, placed, strict=True):
        drawn.append(
            f'<polyline points="{svg.points([(edge, y), (edge + 1.6, to), (edge + 3.2, to)])}" fill="none"'
            f' stroke="{tokens.text}" stroke-width="{svg.number(LEADER)}"/>'
        )
        drawn.append(svg.text(edge + 3.8, to + 0.95, name, WORD, tokens.text, bold=True))
        drawn.append(svg.text(edge + 9.2, to + 0.95, shown, WORD, tokens.text))
    ends = (frame.at(0.0, stack.high)[1], frame.at(0.0, stack.low)[1])
    sides = _spread([ends[0] + 0.4, ends[1] + 0.8], LABEL_STEP, top + WORD)
    for words, y in zip(("front", "back"), sides, strict=True):
        drawn.append(svg.text(frame.left - 1.0, y, words, SMALL, tokens.quiet, "end"))
    return max(placed[-1] + 1.6, sides[-1] + 1.0, height)


def marked(plan: Plan, stack: Stack) -> tuple[Verdict, ...]:
    """Return the verdicts that stand on the drawing: worst first, one for each place."""
    seen: set[tuple[str, int]] = set()
    result: list[Verdict] = []
    present = {coat.number for coat in stack.coats}
    for verdict in plan.leading:
        coats = [n for n in verdict.place.coats if n in present]
        if verdict.place.coats and not coats:
            continue
        spot = (verdict.place.face, coats[0] if coats else -1)
        if spot not in seen and (verdict.level != "good" or not result):
            seen.add(spot)
            result.append(verdict)
    return tuple(result)


def _below(verdict: Verdict) -> bool:
    return verdict.place.face == "back"


def _spot(stack: Stack, verdict: Verdict, turn: int, turns: int) -> tuple[float, float]:
    """Return (share of the width, height) of the band a verdict stands on."""
    wanted = [n for n in verdict.place.coats if any(c.number == n for c in stack.coats)]
    if not wanted and verdict.place.face in ("front", "back"):
        wanted = [coat.number for coat in stack.coats if coat.face == verdict.place.face][-1:]
    bands = [band for band in stack.bands if wanted and band.coat == wanted[0]]
    band = (
        max(bands, key=lambda b: b.right - b.left)
        if bands
        else max(stack.metal, key=lambda b: b.right - b.left, default=Band(-1, 0, 1, 0, stack.thickness))
    )
    share = band.left + (band.right - band.left) * (turn + 0.6) / (turns + 0.2)
    return (0.012 if verdict.place.face == "rim" else share), (band.low + band.high) / 2


def _marks(
    stack: Stack, chosen: tuple[Verdict, ...], frame: Frame, tokens: Tokens, drawn: list[str], top: float, bottom: float
) -> None:
    """Draw each verdict's shape and word beside the piece, as a list shows them, with a leader to its place."""
    spots = [frame.at(*_spot(stack, verdict, turn, len(chosen))) for turn, verdict in enumerate(chosen)]
    keys = [to for _, to in _keys(stack, frame)]
    for low in (False, True):
        row = sorted((spots[n][0], n) for n, verdict in enumerate(chosen) if _below(verdict) is low)
        taken: list[float] = []
        for wanted, n in row:
            to = _free(wanted, taken, () if low else keys)
            taken.append(to)
            drawn.append(_mark(chosen[n], spots[n], (to, bottom + 1.4 if low else top - 0.4), low, tokens))


def _free(wanted: float, taken: list[float], keys: Sequence[float]) -> float:
    """Return the first place from `wanted` rightward that is clear of earlier marks and of coats' names."""
    place = max([wanted, *(other + MARK_STEP for other in taken)])
    for key in sorted(keys):
        if abs(place - key) < CLEAR:
            place = key + CLEAR
    return place


def _mark(verdict: Verdict, spot: svg.Point, end: svg.Point, low: bool, tokens: Tokens) -> str:
    colour = tokens.level[verdict.level]
    word = LEVEL_WORDS[verdict.level] + (" (intended)" if verdict.intended else "")
    middle = end[1] + (MARK / 2 if low else -MARK / 2)
    path = svg.points([end, (end[0], end[1] + (-GAP if low else GAP)), spot])
    # Good is an open ring, so that it is told from the filled shapes without colour.
    fill, edge = (tokens.ground, colour) if verdict.level == "good" else (colour, tokens.ground)
    return (
        f'<g data-part="verdict" data-level="{verdict.level}" data-rule="{svg.safe(verdict.rule)}">'
        f'<polyline points="{path}" {svg.outlined(tokens.ground, LEADER * 5)}/>'
        f'<polyline points="{path}" {svg.outlined(tokens.text, LEADER * 1.5)}/>'
        + svg.circle(spot, DOT * 1.6, f'fill="{tokens.ground}"')
        + svg.circle(spot, DOT, f'fill="{tokens.text}"')
        + svg.level_shape(verdict.level, (end[0], middle), MARK * 0.85, fill, edge)
        + svg.text(end[0] + MARK * 0.65, middle + WORD * 0.36, word, WORD, colour, bold=True)
        + "</g>"
    )


def state_after(plan: Plan, firing: int | None) -> FiringState | None:
    """Return the cold piece after a firing, or at the end."""
    states = plan.flatness.states
    if firing is None:
        return states[-1] if states else None
    return next((state for state in states if state.firing == firing), None)


def bow_words(plan: Plan, firing: int | None = None) -> str:
    """Say the expected bow in one sentence, as a range; high and low as seen with the front up."""
    state = state_after(plan, firing)
    if firing == 0:
        return "Bare metal."
    if state is None:
        return (
            "Bow not worked out: " + (plan.flatness.why or "no estimate for this form").split(";")[0].rstrip(".") + "."
        )
    low, high = state.bow.low, state.bow.high
    width = high - low
    if low < 0 < high:
        down, up = (units.show(abs(end), "length", "mm", width) for end in (low, high))
        return f"Bow likely between {down} low and {up} high in the middle, seen from the front."
    side = "high" if state.bow.value >= 0 else "low"
    ends = [units.show(abs(end), "length", "mm", width) for end in sorted((low, high), key=abs)]
    if ends[0] == ends[1]:
        return f"Bow {ends[0]}, middle {side} seen from the front."
    return f"Bow likely between {ends[0].removesuffix('mm').strip()} and {ends[1]}, middle {side} seen from the front."


def finding(plan: Plan, firing: int | None = None, bench: Bench | None = None) -> str:
    """Say what the picture shows in one or two sentences, for a reader who cannot see it."""
    stack = stack_after(plan, firing, bench)
    front = [c.name for c in reversed(stack.coats) if c.face == "front"]
    back = [c.name for c in stack.coats if c.face == "back"]
    metal = millimetres(stack.thickness) if stack.known_thickness else "thickness not given"
    when = "when finished" if firing is None else "before the first firing" if firing == 0 else f"after firing {firing}"
    layers = [", ".join(front) or "bare front", f"{plan.metal_name} {metal}", ", ".join(back) or "bare back"]
    words = f"From the front down, {when}: {'; '.join(layers)}."
    worst = [f"{LEVEL_WORDS[v.level]}: {v.words}" for v in marked(plan, stack)[:1]]
    return " ".join([words, bow_words(plan, firing), *worst])

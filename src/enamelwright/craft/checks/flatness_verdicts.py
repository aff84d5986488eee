"""From bow and stress to plain words: what is sound, what to watch, what to stop for.

Judged at the unfavourable end of the band for a Watch and at the likely value for a Stop: the end of
the band holds one piece in twenty, and stopping ordinary work for it would cry wolf.
"""

from __future__ import annotations

from enamelwright.craft.checks.cold_slab import landing_temperature, slab_tension
from enamelwright.craft.checks.counter_band import allowed_bow
from enamelwright.craft.checks.flatness_states import size_of
from enamelwright.craft.checks.judged import FACES, Judged
from enamelwright.craft.checks.judgement import level, spoken
from enamelwright.craft.checks.rim import rim_limit, rim_resistance
from enamelwright.craft.checks.unmeasured import Found, merged
from enamelwright.craft.checks.wording import across, at_most, celsius, mm, mpa, side, sided, times
from enamelwright.craft.coat import Face
from enamelwright.craft.verdict import Level, Place, Verdict
from enamelwright.figure import Array, Figure, Origin
from enamelwright.physics.deflection import saddle_load
from enamelwright.reference import loader

_COMPUTED = Origin(kind="computed", source="stress model of an enamelled sheet", status="computed")


def verdicts_of(judged: Judged) -> tuple[Verdict, ...]:
    """Judge bow, faces and rim of the finished piece, and the bow where a later step needs flatness.

    Between wires the stress is not known, so faces and rim are not judged there.
    """
    if judged.solved.model.layup.piece.wires:
        (bow,) = merged((_bow(judged),), judged.solved)
        return (bow, *_steps(judged), *slabs(judged))
    bow, face, *rims = merged((_bow(judged), _faces(judged), *_rims(judged)), judged.solved)
    if face.level == "good" and any(rim.level != "good" for rim in rims):
        face = face.model_copy(update={"words": f"{face.words} But it is pressed so hard that its rim wants watching."})
    return (bow, *_steps(judged), face, *rims, *slabs(judged))


def _bow(judged: Judged) -> Found:
    bow = judged.final.bow
    limit = allowed_bow(judged.solved.model, judged.bench)
    size = size_of(bow)
    needed = judged.firings[-1].needs_flat
    chord = judged.solved.plate.chord
    grade: Level = "good"
    if size.high <= limit:
        words = f"It comes out flat: the bow stays under {mm(limit)} over {across(chord)}."
    elif size.high <= level("bow_watch") * limit:
        words = (
            f"It comes out nearly flat: {at_most(size.high)} of bow over {across(chord)}, hardly to be seen, though it "
            f"may pass the {mm(limit)} of a flat piece."
        )
    elif size.high <= level("bow_large") * limit:
        grade = "watch"
        words = f"It may bow {_reach(bow)} over {across(chord)}: laid on a flat stone you may feel it rock."
    else:
        grade = "stop" if needed and size.value > level("bow_large") * limit else "watch"
        sure = size.value > level("bow_large") * limit and not bow.low < 0 < bow.high
        words = f"It {'will' if sure else 'may'} be visibly domed: {_reach(bow)} over {across(chord)}."
    remedy = ""
    if grade != "good":
        remedy = judged.counter.words if judged.counter is not None else ""
        remedy = remedy or "Give both faces about the same glass, or use heavier metal or a dome."
    told = sided(bow)
    if size.value < level("bow_sign"):
        told = f"{at_most(size.high)}, either way"
    because = [f"bow after the last firing {told}, limit {mm(limit)}"]
    load = judged.solved.load
    if grade != "good" and load > saddle_load(judged.solved.plate.poisson) and judged.solved.held is None:
        words += " So large and thin a sheet may also twist into a saddle."
        remedy += " A slight dome also stiffens it."
        because.append("the bow of a small piece of this build would exceed two and a half thicknesses here")
    if judged.solved.held is not None:
        because.append("the dome stiffens it: it hardly moves, and a high one less than this figure says")
    verdict = Verdict(
        rule="FLAT-BOW",
        level=grade,
        words=words,
        remedy=remedy.strip(),
        because=tuple(because),
        sources=(spoken("bow_limit"),),
        figure=bow,
        place=Place(firing=judged.final.firing),
    )
    likely = ""
    if size.value <= level("bow_watch") * limit:
        likely = "it comes out flat" if size.value <= limit else "it comes out nearly flat"
    drawn = judged.solved.bow_draws(len(judged.solved.model.history.tops) - 1)
    return Found(verdict, likely, "how far it bows", (drawn,))


def _reach(bow: Figure) -> str:
    """Say how far a bow may go: to one side, or to either."""
    if bow.low < 0 < bow.high:
        return f"anything from {side(bow.low)} to {side(bow.high)}"
    return f"up to {side(bow.high if bow.high > -bow.low else bow.low)}"


def _steps(judged: Judged) -> tuple[Verdict, ...]:
    """Judge an earlier firing only where the next step needs the piece flat."""
    limit = allowed_bow(judged.solved.model, judged.bench)
    found = []
    for firing, state in zip(judged.firings[:-1], judged.states[:-1], strict=True):
        size = size_of(state.bow)
        if firing.needs_flat and size.high > level("bow_large") * limit:
            found.append(
                Verdict(
                    rule="FLAT-STEP",
                    level="watch",
                    words=f"After firing {firing.number} it may bow {mm(size.high)}, and the next step needs it flat.",
                    remedy="Press it flat under a weight while it is still hot, or fire both faces together.",
                    because=(f"bow then {sided(state.bow)}",),
                    sources=(spoken("bow_limit"),),
                    figure=state.bow,
                    place=Place(firing=firing.number),
                )
            )
    return tuple(found[:1])


def _faces(judged: Judged) -> Found:
    """Judge the exposed glass of the finished piece, worst face first."""
    last = len(judged.solved.model.history.tops) - 1
    worst: tuple[float, Face, Figure, float] | None = None
    for face in FACES:
        stress = judged.outer(face, judged.final)
        if stress is None:
            continue
        running = judged.running(face, last)
        rank = max(stress.value / running, stress.high / running)
        if worst is None or rank > worst[0]:
            worst = (rank, face, stress, running)
    if worst is None:
        raise ValueError("a piece without glass has no face to judge")
    _, face, stress, running = worst
    grade, words, remedy = _face_words(judged, face, stress, running)
    verdict = Verdict(
        rule="FLAT-FACE",
        level=grade,
        words=words,
        remedy=remedy,
        because=(
            f"stress of the {face} face {stress.shown('MPa')}, tension positive",
            f"a crack would run across so much glass at about {mpa(running)}",
        ),
        sources=(spoken("face_watch"), "Hutchinson & Suo, Adv. Appl. Mech. 29 (1992)"),
        figure=stress,
        place=Place(face=face, firing=judged.final.firing),
    )
    likely = f"the {face} glass stays pressed together" if stress.value <= 0 else ""
    return Found(verdict, likely, f"whether the {face} glass ends up stretched", judged.solved.outer_draws(face, last))


def _face_words(judged: Judged, face: Face, stress: Figure, running: float) -> tuple[Level, str, str]:
    remedy = "Use less glass on this face, heavier metal, or more counter-enamel on the other face."
    if stress.value > 0 and judged.solved.held is None and _expands(judged):
        remedy = "Choose a glass that expands less than the metal."
    if stress.value >= level("face_stop") * running:
        if judged.painted:
            return (
                "watch",
                f"The model sees the {face} glass stretched enough to crack. Makers paint on plates like this; "
                "the model fears it more than they do, so go by your own trials.",
                "Keep the coats thin and the plate domed.",
            )
        return "stop", f"The {face} glass ends up stretched: expect cracks across it.", remedy
    if stress.value > 0 or stress.high >= level("face_watch") * running:
        if judged.painted:
            return "good", f"The {face} glass is close to being stretched, as is usual on thin painted plates.", ""
        return (
            "watch",
            f"The {face} glass may end up stretched: hairlines are possible, also days later.",
            remedy,
        )
    if stress.high > level("little_reserve"):
        return "good", f"The {face} glass stays pressed together, with little in reserve.", ""
    return "good", "The glass stays pressed together on every face.", ""


def _expands(judged: Judged) -> bool:
    """Whether a glass expands about as much as the metal."""
    metal = judged.solved.model.layup.metal.mean_expansion.value
    share = level("expansion_near")
    return any(layer.glass.expansion.value >= share * metal for layer in judged.solved.model.layup.layers)


def _rims(judged: Judged) -> tuple[Found, ...]:
    """Judge how hard the glass pulls at the rim of each face; one line for the worse."""
    solved = judged.solved
    history, last = solved.model.history, len(solved.model.history.tops) - 1
    worst: tuple[float, Face, Figure, Array] | None = None
    for face in FACES:
        members = history.on(face)
        if not members:
            continue
        glass = solved.model.solid(history.laminae[members[0]])
        one, many = solved.rim_energy(face, last)
        ratio = Figure.of_draws(
            many / rim_resistance(glass), "ratio", _COMPUTED, value=float(one[0]) / rim_resistance(glass)
        )
        if worst is None or ratio.high > worst[0]:
            worst = (ratio.high, face, ratio, many)
    if worst is None:
        return ()
    _, face, ratio, drawn = worst
    limit = rim_limit(solved.model.layup.metal)
    glass_here = history.glass(face)
    thin = glass_here < level("rim_thin_coat") and ratio.value > level("rim_thin")
    grade: Level = "watch" if thin or ratio.high > limit else "good"
    words = f"The rim of the {face} holds."
    remedy = ""
    if grade == "watch":
        words = f"The rim may chip: the {face} glass is pressed hard there."
        remedy = "Round the rim of the metal and thin the glass toward it."
        if face == "back" and history.glass("back") < history.glass("front"):
            remedy = "Give the back more glass; also round the rim and thin the glass toward it."
    verdict = Verdict(
        rule="FLAT-RIM",
        level=grade,
        words=words,
        remedy=remedy,
        because=(
            f"a chip would free about {times(ratio.value)} times ({times(ratio.low)} to {times(ratio.high)}) the "
            f"energy it needs by the strength of glass; told from {times(limit)} times, because closed and "
            "rounded rims bear more",
            f"glass there {mm(glass_here)}",
        ),
        sources=(spoken("rim_watch"), "Hutchinson & Suo, Adv. Appl. Mech. 29 (1992)"),
        figure=ratio,
        place=Place(face="rim", firing=judged.final.firing),
    )
    likely = "the rim holds" if not thin and ratio.value <= limit else ""
    return (Found(verdict, likely, "whether the rim holds", (drawn,)),)


def slabs(judged: Judged) -> tuple[Verdict, ...]:
    """Judge a cold slab where the maker says that hot work is laid on one with its counter-enamel down."""
    history, piece = judged.solved.model.history, judged.solved.model.layup.piece
    if piece.firing.cooling != "cold slab" or not history.on("back"):
        return ()
    hot = landing_temperature(judged.solved)
    if hot <= loader.value("heat/landing_highest"):
        return ()
    tension = slab_tension(judged.solved)
    running = judged.running("back", len(history.tops) - 1)
    grade: Level = "watch" if tension.high >= level("face_watch") * running else "good"
    words = f"Laid on a cold slab at about {celsius(hot)} the counter-enamel"
    return (
        Verdict(
            rule="FLAT-SLAB",
            level=grade,
            words=f"{words} may crack." if grade == "watch" else f"{words} stands the shock.",
            remedy="Let it cool on its trivet or a fibre pad first." if grade == "watch" else "",
            because=(
                f"the face laid down is stretched by {tension.shown('MPa')}, depending on how close it lies",
                f"a crack would run across so much glass at about {mpa(running)}",
            ),
            sources=(spoken("slab_tension"), spoken("face_watch")),
            figure=tension,
            place=Place(face="back"),
        ),
    )

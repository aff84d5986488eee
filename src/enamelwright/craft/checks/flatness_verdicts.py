"""From bow and stress to plain words: what is sound, what to watch, what to stop for.

Judged at the unfavourable end of the band for a Watch and at the likely value for a Stop: the end of
the band holds one piece in twenty, and stopping ordinary work for it would cry wolf.
"""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.cold_slab import landing_temperature, slab_tension
from enamelwright.craft.checks.counter_band import allowed_bow
from enamelwright.craft.checks.flatness_states import Solved, size_of
from enamelwright.craft.checks.judgement import level, spoken
from enamelwright.craft.checks.rim import rim_limit, rim_resistance
from enamelwright.craft.checks.wording import across, at_most, celsius, mm, mpa, times
from enamelwright.craft.coat import Face
from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import PAINTED
from enamelwright.craft.plan import CounterBand, FiringState
from enamelwright.craft.verdict import Advice, Level, Place, Verdict
from enamelwright.figure import Figure, Origin
from enamelwright.physics.deflection import saddle_load
from enamelwright.physics.fracture import channel_stress
from enamelwright.reference import loader

FACES: tuple[Face, ...] = ("front", "back")
_COMPUTED = Origin(kind="computed", source="stress model of an enamelled sheet", status="computed")


@dataclass(frozen=True)
class Judged:
    """Everything the verdicts look at.

    Parameters
    ----------
    solved : Solved
        Bow and stress.
    states : tuple of FiringState
        The same as figures.
    bench : Bench
        House rules.
    counter : CounterBand or None
        Counter-coats that keep it flat.
    """

    solved: Solved
    states: tuple[FiringState, ...]
    bench: Bench
    counter: CounterBand | None

    @property
    def final(self) -> FiringState:
        """The finished piece."""
        return self.states[-1]

    @property
    def firings(self) -> tuple[Firing, ...]:
        """The planned firings."""
        return self.solved.model.history.firings

    @property
    def painted(self) -> bool:
        """Whether it is painted enamel on thin metal."""
        return self.solved.model.layup.piece.technique in PAINTED

    def outer(self, face: Face, state: FiringState) -> Figure | None:
        """Return the stress of the exposed glass of one face after a firing."""
        mine = {layer.number for layer in self.solved.model.layup.on(face)}
        coats = [coat for coat in state.coats if coat.coat in mine]
        if not coats:
            return None
        return coats[-1].outer if face == "front" else coats[0].outer

    def running(self, face: Face, step: int) -> float:
        """Return the tension at which a crack runs across all the glass of a face [Pa]."""
        history = self.solved.model.history
        glass = sum(history.laminae[n].thickness for n in history.on(face) if history.laminae[n].firing <= step)
        return float(channel_stress(loader.value("glass/toughness"), glass, loader.value("glass/channel_factor")))


def verdicts_of(judged: Judged) -> tuple[Verdict, ...]:
    """Judge bow, faces and rim of the finished piece, and the bow where a later step needs flatness.

    Between wires the stress is not known, so faces and rim are not judged there.
    """
    if judged.solved.model.layup.piece.wires:
        return (_bow(judged), *_steps(judged), *_slabs(judged))
    rims = _rims(judged)
    return (_bow(judged), *_steps(judged), _faces(judged, rims), *rims, *_slabs(judged))


def advice_of(judged: Judged) -> tuple[Advice, ...]:
    """Return the handling lines: reheating, a bare early firing, a cold slab."""
    found = (_reheat(judged), _early(judged), _slab(judged))
    return tuple(line for line in found if line is not None)


def _bow(judged: Judged) -> Verdict:
    bow = judged.final.bow
    limit = allowed_bow(judged.solved.model, judged.bench)
    size = size_of(bow)
    needed = judged.firings[-1].needs_flat
    chord = judged.solved.plate.chord
    toward = "front" if bow.value > 0 else "back"
    grade: Level = "good"
    if size.high <= limit:
        words = f"It comes out flat: the bow stays under {mm(limit)} over {across(chord)}."
    elif size.high <= level("bow_watch") * limit:
        words = f"It comes out nearly flat: {at_most(size.high)} of bow over {across(chord)}, hardly to be seen."
    elif size.high <= level("bow_large") * limit:
        grade = "watch"
        words = f"It may bow {mm(size.high)} over {across(chord)}: laid on a flat stone you will feel it rock."
    else:
        grade = "stop" if needed and size.value > level("bow_large") * limit else "watch"
        words = f"It will be visibly domed toward the {toward}: up to {mm(size.high)} over {across(chord)}."
    remedy = ""
    if grade != "good":
        remedy = judged.counter.words if judged.counter is not None else ""
        remedy = remedy or "Give both faces about the same glass, or use heavier metal or a dome."
    told = bow.shown("mm")
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
    return Verdict(
        rule="FLAT-BOW",
        level=grade,
        words=words,
        remedy=remedy.strip(),
        because=tuple(because),
        sources=(spoken("bow_limit"),),
        figure=bow,
        place=Place(firing=judged.final.firing),
    )


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
                    because=(f"bow then {state.bow.shown('mm')}",),
                    sources=(spoken("bow_limit"),),
                    figure=state.bow,
                    place=Place(firing=firing.number),
                )
            )
    return tuple(found[:1])


def _faces(judged: Judged, rims: tuple[Verdict, ...]) -> Verdict:
    """Judge the exposed glass of the finished piece, worst face first; not in soothing words over a poor rim."""
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
    if grade == "good" and any(rim.level != "good" for rim in rims):
        words += " But it is pressed so hard that its rim wants watching."
    return Verdict(
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


def _rims(judged: Judged) -> tuple[Verdict, ...]:
    """Judge how hard the glass pulls at the rim of each face; one line for the worse."""
    solved = judged.solved
    history, last = solved.model.history, len(solved.model.history.tops) - 1
    worst: tuple[float, Face, Figure] | None = None
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
            worst = (ratio.high, face, ratio)
    if worst is None:
        return ()
    _, face, ratio = worst
    limit = rim_limit(solved.model.layup.metal)
    glass_here = history.glass(face)
    thin = glass_here < level("rim_thin_coat") and ratio.value > level("rim_thin")
    grade: Level = "watch" if thin or ratio.high > limit else "good"
    words = f"The rim of the {face} holds."
    remedy = ""
    if grade == "watch":
        words = f"The {face} glass is pressed so hard that it may chip at the rim."
        remedy = "Round the rim of the metal and thin the glass toward it."
        if face == "back" and history.glass("back") < history.glass("front"):
            remedy = "Give the back more glass; also round the rim and thin the glass toward it."
    return (
        Verdict(
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
        ),
    )


def _reheat(judged: Judged) -> Advice | None:
    """Return one handling line for the worst reheating."""
    worst: tuple[float, FiringState] | None = None
    for firing, state in zip(judged.firings, judged.states, strict=True):
        if state.heating_tension is None:
            continue
        step = firing.number - judged.firings[0].number + judged.solved.model.history.before
        heat = judged.solved.heating(step)
        if heat is None:
            continue
        face = judged.solved.model.history.laminae[heat[2]].face
        ratio = state.heating_tension.value / judged.running(face, step - 1)
        if worst is None or ratio > worst[0]:
            worst = (ratio, state)
    if worst is None or worst[0] < level("reheat_tell"):
        return None
    state = worst[1]
    hot = celsius(state.heating_tension_at or 0.0)
    tension = state.heating_tension
    return Advice(
        rule="FLAT-REHEAT",
        words=(
            f"Before firing {state.firing} warm the piece in front of the kiln: fine lines may open on the way up "
            "and heal, so leave it in until it is fully fused."
        ),
        because=(
            f"the stretched metal pulls at the glass, at most {tension.shown('MPa') if tension else ''} near {hot}",
            "usual on copper and silver; an upper estimate",
        ),
        sources=(spoken("reheat_tell"),),
        place=Place(firing=state.firing),
    )


def _early(judged: Judged) -> Advice | None:
    """Tell of glass that stands stretched between two firings: makers live with it daily."""
    before = judged.solved.model.history.before
    for step, state in enumerate(judged.states[:-1]):
        for face in FACES:
            stress = judged.outer(face, state)
            if stress is None or stress.value < level("face_stop") * judged.running(face, step + before):
                continue
            return Advice(
                rule="FLAT-BETWEEN",
                words=(
                    f"After firing {state.firing} the {face} glass is stretched; hairlines seen then close in the "
                    "next firing. Fire on soon and do not bend it."
                ),
                because=(
                    f"stress then {stress.shown('MPa')}, tension positive",
                    "makers do this daily; the model fears it more",
                ),
                sources=(spoken("face_stop"),),
                place=Place(face=face, firing=state.firing),
            )
    return None


def _slabs(judged: Judged) -> tuple[Verdict, ...]:
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


def _slab(judged: Judged) -> Advice | None:
    """Tell not to lay a hot counter-enamelled face on a cold slab; where that is judged, it is not told."""
    if not judged.solved.model.history.on("back") or _slabs(judged):
        return None
    limit = celsius(loader.value("heat/landing_highest"))
    return Advice(
        rule="FLAT-SLAB",
        words=(
            "Let it cool on its trivet or a fibre pad; never lay the counter-enamel on bare steel or stone "
            f"above about {limit}."
        ),
        because=(f"within a fifth of a second the face laid down is stretched by up to {mpa(level('slab_tension'))}",),
        sources=(spoken("slab_tension"),),
        place=Place(face="back"),
    )

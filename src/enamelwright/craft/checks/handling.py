"""Handling lines about stress: reheating, a bare early firing, a cold slab."""

from __future__ import annotations

from enamelwright.craft.checks.flatness_verdicts import slabs
from enamelwright.craft.checks.judged import FACES, Judged
from enamelwright.craft.checks.judgement import level, spoken
from enamelwright.craft.checks.wording import celsius, mpa
from enamelwright.craft.plan import FiringState
from enamelwright.craft.verdict import Advice, Place
from enamelwright.reference import loader


def advice_of(judged: Judged) -> tuple[Advice, ...]:
    """Return the handling lines: reheating, a bare early firing, a cold slab."""
    found = (_reheat(judged), _early(judged), _slab(judged))
    return tuple(line for line in found if line is not None)


def _reheat(judged: Judged) -> Advice | None:
    """Return one handling line for the worst reheating.

    Ordinary work is stretched on reheating every day and heals; the line is for work that may be cracked
    already, or for more tension than ordinary work sees.
    """
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
    so_far = judged.solved.model.layup.piece.so_far
    begun = so_far.firings > 0 or bool(so_far.fault)
    key = "reheat_tell" if begun else "reheat_fresh"
    if worst is None or worst[0] < level(key):
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
        sources=(spoken(key),),
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


def _slab(judged: Judged) -> Advice | None:
    """Tell not to lay a hot counter-enamelled face on a cold slab; where that is judged, it is not told."""
    if not judged.solved.model.history.on("back") or slabs(judged):
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

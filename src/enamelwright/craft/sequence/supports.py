"""What the piece rests on in the kiln, and where that touches: never unfired enamel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Face
from enamelwright.craft.layup import Layup
from enamelwright.craft.piece import Support
from enamelwright.craft.sequence.loads import Load, open_backed
from enamelwright.craft.verdict import Advice
from enamelwright.reference.loader import fact

#: Supports that touch the whole underside.
_BROAD: frozenset[Support] = frozenset({"mesh", "plate"})


@dataclass(frozen=True)
class Resting:
    """How a piece sits in the kiln.

    Parameters
    ----------
    support : str
        What it rests on.
    touches : str
        Where that touches.
    face_up : str
        Face that looks up.
    refused : str
        The maker's own support when it would have touched unfired enamel; empty otherwise.
    """

    support: Support
    touches: str
    face_up: Literal["front", "back"]
    refused: str = ""

    def advice(self) -> Advice | None:
        """Say so when the maker's own support could not be used."""
        if not self.refused:
            return None
        return Advice(
            rule="SUPPORT-WET",
            words=f"A {self.refused} would touch unfired enamel here, so the plan rests the rim on a trivet instead.",
            sources=("common practice, no source",),
        )


def is_torch(layup: Layup, bench: Bench) -> bool:
    """Tell whether the piece is fired with a torch from below."""
    piece = layup.piece
    if piece.technique == "torch" or piece.firing.support == "torch ring":
        return True
    kiln = bench.kiln(piece.firing.kiln) if piece.firing.kiln else None
    return kiln is not None and kiln.kind == "torch"


def backing_of(layup: Layup) -> str:
    """Name what closes the back of open cells while they are filled; empty when nothing does."""
    if not open_backed(layup):
        return ""
    if layup.piece.technique == "plique_etched":
        return "copper shell"
    if layup.piece.firing.support in {"mica", "plate"}:
        return "mica" if layup.piece.firing.support == "mica" else "backing plate"
    return "mica" if layup.piece.technique == "plique_backed" else ""


def resting(load: Load, glassed: set[Face], layup: Layup, bench: Bench, backed: bool) -> Resting:
    """Choose the support of one firing.

    Parameters
    ----------
    load : Load
        What is fired.
    glassed : set of str
        Faces that carry fired glass already.
    layup : Layup
        The piece.
    bench : Bench
        Kilns.
    backed : bool
        Whether open cells still have their backing.
    """
    up: Literal["front", "back"] = "back" if load.faces == ("back",) else "front"
    down: Face = "front" if up == "back" else "back"
    wet = {lay.layer.coat.face for lay in load.lays}
    own = layup.piece.firing.support
    if is_torch(layup, bench):
        if layup.piece.form == "bead":
            return Resting("torch ring", "the bare hole, on a mandrel turned in the flame", up)
        if layup.piece.form != "sheet":
            return Resting("torch ring", "bare metal, with the flame on it from below", up)
        return Resting("torch ring", "the rim, with the flame on the bare metal from below", up)
    if layup.piece.form != "sheet":
        return _solid(layup, own, up)
    if open_backed(layup):
        return _open(own, backed, layup)
    if _on_its_rim(layup, up):
        return _upside_down(own, down, down in wet or down in glassed)
    if down in wet or down in glassed:
        state = "unfired enamel" if down in wet else "fired enamel"
        if own in _BROAD and down in wet:
            return Resting("trivet", _rim(layup, state), up, own or "")
        if own in _BROAD or own == "mica":
            return Resting(own or "mesh", f"the fired {down}, which can stick: use a parting wash", up)
        return Resting(own or "trivet", _rim(layup, state), up)
    ground = f"the bare {down}"
    if own in {"trivet", "hung", "fork"}:
        return Resting(own or "trivet", f"the edge of {ground}", up)
    if layup.piece.dome > 0 and up == "back":
        return Resting(own or "mesh", f"{ground}, crown down, packed so that it cannot rock", up)
    return Resting(own or "mesh", f"{ground}{_middle(layup, broad=True)}", up)


def is_bowl(layup: Layup) -> bool:
    """Tell whether the dome is so deep that the piece is handled as a bowl."""
    return abs(layup.piece.dome) > fact("trade/bowl_rise").value * layup.shape.short_side


def _on_its_rim(layup: Layup, up: Face) -> bool:
    """Tell whether a bowl stands upside down: the face that looks up is its outside."""
    outside: Face = "front" if layup.piece.dome > 0 else "back"
    return is_bowl(layup) and up == outside


def _upside_down(own: Support | None, down: Face, glass: bool) -> Resting:
    """Stand a bowl on its rim; nothing touches the inside, so a mesh is no worse than a trivet."""
    inside = f"the {down} inside hangs free" if glass else f"the bare {down} inside is touched by nothing"
    up: Literal["front", "back"] = "front" if down == "back" else "back"
    return Resting(own or ("trivet" if glass else "mesh"), f"the rim only, upside down; {inside}", up)


def _rim(layup: Layup, state: str) -> str:
    return f"the rim only, on the slopes of the trivet; the {state} below hangs free{_middle(layup, broad=False)}"


def _middle(layup: Layup, broad: bool) -> str:
    if broad or layup.shape.short_side <= fact("trade/support_span").value:
        return ""
    return ", with a support under the middle" if layup.piece.firing.middle_support is not False else ""


def _open(own: Support | None, backed: bool, layup: Layup) -> Resting:
    if backed and backing_of(layup) == "copper shell":
        return Resting(own or "mesh", "the bare copper shell", "front")
    if backed:
        support: Support = "plate" if own == "plate" else "mica"
        return Resting(support, "the backing sheet, which lies under the whole frame", "front")
    return Resting(
        own if own in {"trivet", "hung", "fork"} else "trivet", "the frame only; nothing under the open cells", "front"
    )


def _solid(layup: Layup, own: Support | None, up: Literal["front", "back"]) -> Resting:
    if layup.piece.form == "bead":
        return Resting(own or "hung", "the bare hole, on a rod", up)
    if layup.piece.form == "ring":
        return Resting(own or "trivet", "the bare inside, over a post", up)
    return Resting(own or "mesh", "bare metal away from the enamel", up)

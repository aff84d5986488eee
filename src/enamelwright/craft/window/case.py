"""One firing gathered for the model: what goes in, which coats are judged, and where they are to be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.operation import Firing, Window
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.practice import melting, topmost
from enamelwright.craft.window.aims import Aim, aim_of
from enamelwright.craft.window.fusing import Melt, melt_of
from enamelwright.craft.window.loaded import LoadedPiece, loaded_piece


@dataclass(frozen=True)
class Case:
    """One firing on its way through the model.

    Attributes
    ----------
    firing : Firing
        From the sequence.
    window : Window
        Of ordinary practice, with the setting.
    piece : LoadedPiece
        What goes in.
    aim : Aim
        Where its coats are to be.
    coats : tuple of Layer
        Those judged.
    melts : tuple of Melt
        Of their jars.
    fresh : bool
        Whether they melt for the first time.
    """

    firing: Firing
    window: Window
    piece: LoadedPiece
    aim: Aim
    coats: tuple[Layer, ...]
    melts: tuple[Melt, ...]
    fresh: bool


def case_of(firing: Firing, window: Window, layup: Layup, weights: Sequence[CoatWeight]) -> Case | None:
    """Gather one firing; None where the model has nothing to say.

    Parameters
    ----------
    firing : Firing
        From the sequence.
    window : Window
        Of ordinary practice, with the setting.
    layup : Layup
        The piece.
    weights : sequence of CoatWeight
        One a coat, in file order.
    """
    if window.set_point is None or layup.piece.form != "sheet" or layup.thickness <= 0:
        return None
    fresh = melting(firing, layup)
    aim = aim_of(firing, layup, bool(fresh))
    coats = fresh or topmost(firing, layup)
    if aim is None or not coats:
        return None
    return Case(
        firing,
        window,
        loaded_piece(firing, layup, weights),
        aim,
        coats,
        tuple(melt_of(layer.jar) for layer in coats),
        bool(fresh),
    )

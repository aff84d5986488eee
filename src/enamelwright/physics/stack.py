"""A sheet and its coats in the order they are fired, for one or many draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]


class Side(Enum):
    """Which side of the metal a coat lies on."""

    BACK = "back"
    FRONT = "front"


@dataclass(frozen=True)
class Coat:
    """One glass coat of a stack.

    Attributes
    ----------
    side : Side
        Side of the metal.
    firing : int
        Number of the firing that fuses it, from 0.
    """

    side: Side
    firing: int = 0


@dataclass(frozen=True, eq=False)
class Stack:
    """A sheet and its coats, for one or many draws.

    Attributes
    ----------
    metal_thickness : ndarray, shape (n_draw,)
        Sheet thickness [m].
    coats : tuple of Coat
        On each side in order from the metal outward, so also in order of firing.
    coat_thickness : ndarray, shape (n_draw, n_coat)
        Fired thickness of each coat [m].
    coat_table : ndarray of int, shape (n_draw, n_coat)
        Which glass table each coat uses.
    metal_table : ndarray of int, shape (n_draw,)
        Which metal table.
    yield_scale : ndarray, shape (n_draw,)
        Factor on the yield stress of the metal (not on its hardening).
    coat_strain_scale : ndarray, shape (n_draw, n_coat)
        Factor on the free strain of each coat.
    metal_strain_scale : ndarray, shape (n_draw,)
        Factor on the free strain of the metal.
    remaining : ndarray, shape (n_firing, n_coat)
        Share of each coat still there when a firing begins: 1 as laid, less after stoning, 0 gone.
    pressed_flat : tuple of bool, length n_firing
        Pressed flat while the glass was fluid, so that this cooling starts flat and unstressed.
    """

    metal_thickness: Array
    coats: tuple[Coat, ...]
    coat_thickness: Array
    coat_table: Whole
    metal_table: Whole
    yield_scale: Array
    coat_strain_scale: Array
    metal_strain_scale: Array
    remaining: Array
    pressed_flat: tuple[bool, ...]

    @property
    def draws(self) -> int:
        """Number of draws."""
        return int(self.metal_thickness.size)

    @property
    def layer_of_coat(self) -> tuple[int, ...]:
        """Position of each coat in the stack counted from the back."""
        back = [i for i, coat in enumerate(self.coats) if coat.side is Side.BACK]
        front = [i for i, coat in enumerate(self.coats) if coat.side is Side.FRONT]
        place = {coat: layer for layer, coat in enumerate(reversed(back))}
        place |= {coat: len(back) + 1 + layer for layer, coat in enumerate(front)}
        return tuple(place[i] for i in range(len(self.coats)))

    @property
    def metal_layer(self) -> int:
        """Position of the metal counted from the back."""
        return sum(coat.side is Side.BACK for coat in self.coats)


def stack(
    metal_thickness: npt.ArrayLike,
    coats: Sequence[Coat],
    coat_thickness: npt.ArrayLike,
    *,
    firings: int = 1,
    coat_table: npt.ArrayLike = 0,
    metal_table: npt.ArrayLike = 0,
    yield_scale: npt.ArrayLike = 1.0,
    coat_strain_scale: npt.ArrayLike = 1.0,
    metal_strain_scale: npt.ArrayLike = 1.0,
    remaining: npt.ArrayLike = 1.0,
    pressed_flat: Sequence[bool] = (),
) -> Stack:
    """Describe a batch of stacks; every array argument is broadcast over the draws.

    Parameters
    ----------
    metal_thickness : array_like, shape () or (n_draw,)
        Sheet thickness [m], positive.
    coats : sequence of Coat
        On each side from the metal outward.
    coat_thickness : array_like, shape (n_coat,) or (n_draw, n_coat)
        Fired thickness [m]; zero means that this draw has no such coat.
    firings : int
        Number of firings of the schedule this stack goes through.
    coat_table : array_like of int, shape (), (n_coat,) or (n_draw, n_coat)
        Which of the glass tables given to ``solve``.
    metal_table : array_like of int, shape () or (n_draw,)
        Which of its metal tables.
    yield_scale : array_like, shape () or (n_draw,)
        Positive factors.
    coat_strain_scale : array_like, shape (), (n_coat,) or (n_draw, n_coat)
        Positive factors.
    metal_strain_scale : array_like, shape () or (n_draw,)
        Positive factors.
    remaining : array_like, shape () or (n_firing, n_coat)
        Share of a coat left when each firing begins; may only fall from firing to firing after the
        coat was fused, and only the outermost coat still there may be thinned.
    pressed_flat : sequence of bool, length n_firing
        Empty for never.

    Returns
    -------
    Stack

    Raises
    ------
    ValueError
        If shapes, order or ranges are wrong.
    """
    coats = tuple(coats)
    count = len(coats)
    metal = np.atleast_1d(np.asarray(metal_thickness, dtype=np.float64))
    thick = np.asarray(coat_thickness, dtype=np.float64)
    per_draw = [metal, np.asarray(yield_scale), np.asarray(metal_strain_scale)]
    per_draw.append(np.asarray(metal_table))
    per_coat = [thick, np.asarray(coat_strain_scale), np.asarray(coat_table)]
    draws = max([a.shape[0] for a in per_draw if a.ndim == 1] + [a.shape[0] for a in per_coat if a.ndim > 1])

    def spread(values: npt.ArrayLike, *shape: int) -> Array:
        return np.array(np.broadcast_to(np.asarray(values, dtype=np.float64), shape))

    def index(values: npt.ArrayLike, *shape: int) -> Whole:
        given = np.asarray(values)
        if not np.issubdtype(given.dtype, np.integer):
            raise ValueError("table numbers must be whole")
        return np.array(np.broadcast_to(given, shape), dtype=np.int64)

    pressed = tuple(bool(flag) for flag in pressed_flat) or (False,) * firings
    made = Stack(
        metal_thickness=spread(metal, draws),
        coats=coats,
        coat_thickness=spread(thick, draws, count),
        coat_table=index(coat_table, draws, count),
        metal_table=index(metal_table, draws),
        yield_scale=spread(yield_scale, draws),
        coat_strain_scale=spread(coat_strain_scale, draws, count),
        metal_strain_scale=spread(metal_strain_scale, draws),
        remaining=spread(remaining, firings, count),
        pressed_flat=pressed,
    )
    _check(made, firings)
    return made


def _check(made: Stack, firings: int) -> None:
    if not np.all(np.isfinite(made.metal_thickness)) or made.metal_thickness.min() <= 0:
        raise ValueError("the sheet must have a positive thickness")
    if not np.all(np.isfinite(made.coat_thickness)) or np.any(made.coat_thickness < 0):
        raise ValueError("coat thicknesses must not be negative")
    for scale in (made.yield_scale, made.coat_strain_scale, made.metal_strain_scale):
        if not np.all(np.isfinite(scale)) or np.any(scale <= 0):
            raise ValueError("scales must be positive")
    if len(made.pressed_flat) != firings:
        raise ValueError("say for every firing whether the piece was pressed flat")
    left = made.remaining
    if not np.all((left >= 0) & (left <= 1)):
        raise ValueError("a coat keeps between none and all of itself")
    for side in Side:
        members = [i for i, coat in enumerate(made.coats) if coat.side is side]
        order = [made.coats[i].firing for i in members]
        if order != sorted(order):
            raise ValueError("coats on one side must be listed from the metal outward")
        if order and not 0 <= order[0] <= order[-1] < firings:
            raise ValueError("a coat names a firing that the schedule does not have")
        if np.all(left == 1):  # as laid
            continue
        for place, i in enumerate(members):
            laid = made.coats[i].firing
            steps = np.diff(left[laid:, i])
            if np.any(steps > 0):
                raise ValueError("a fired coat cannot grow; add a new one")
            for outer in members[place + 1 :]:
                since = made.coats[outer].firing
                covered = left[since:, outer] > 0
                # A coat may be thinned in the firing that lays its cover, not after.
                if np.any(np.diff(left[since:, i])[covered[1:]] < 0):
                    raise ValueError("only the outermost coat can be thinned")

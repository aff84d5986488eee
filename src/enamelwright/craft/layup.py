"""A piece with every name looked up: metal, shape and, coat by coat, the jar behind it."""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright.craft.coat import Coat, Face
from enamelwright.craft.jar import Jar
from enamelwright.craft.jar_glass import JarGlass
from enamelwright.craft.learned_bow import LearnedBow
from enamelwright.craft.learned_clock import LearnedClock
from enamelwright.craft.metal import Metal
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece


@dataclass(frozen=True)
class Layer:
    """One coat of the file with its jar.

    Parameters
    ----------
    number : int
        Number in the file, from 0.
    place : int
        Position on its face from the metal outward, from 1.
    coat : Coat
        As described.
    jar : Jar
        The jar it comes from.
    glass : JarGlass
        What is known of that glass, with its uncertainty.
    area : float
        Area it covers [m2], dome included.
    """

    number: int
    place: int
    coat: Coat
    jar: Jar
    glass: JarGlass
    area: float

    @property
    def words(self) -> str:
        """Name it as the bench would: ``front 2, white base``."""
        return f"{self.coat.face} {self.place}, {self.jar.name}"


@dataclass(frozen=True)
class Layup:
    """A piece with everything looked up.

    Parameters
    ----------
    piece : Piece
        As described.
    metal : Metal
        Its metal.
    thickness : float
        Sheet thickness [m].
    shape : Shape
        Its outline [m]; `shape.chord` is the measure bow is told over.
    layers : tuple of Layer
        All coats in file order.
    taught : tuple of LearnedBow
        What own strips have taught of its jars on its metal.
    clocks : tuple of LearnedClock
        What own firings have taught of its jars in its kiln; a jar whose clock is told by hand is not among them.
    new_lots : tuple of str
        Ids of jars among them that are laid from a new lot.
    """

    piece: Piece
    metal: Metal
    thickness: float
    shape: Shape
    layers: tuple[Layer, ...]
    taught: tuple[LearnedBow, ...] = ()
    clocks: tuple[LearnedClock, ...] = ()
    new_lots: tuple[str, ...] = ()

    def on(self, face: Face) -> tuple[Layer, ...]:
        """Return one face's coats, metal outward."""
        return tuple(layer for layer in self.layers if layer.coat.face == face)

"""The plan of a piece: everything the maker needs, in one frozen answer."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from enamelwright.craft.coat import Face
from enamelwright.craft.operation import Firing, Operation
from enamelwright.craft.piece import Piece
from enamelwright.craft.verdict import Advice, Level, Verdict, in_order, worst
from enamelwright.figure import Figure


class Frozen(BaseModel):
    """Base of the parts of an answer."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class CoatWeight(Frozen):
    """How much of one coat.

    Parameters
    ----------
    coat : int
        Number in the file, from 0.
    face : str
        Face it lies on.
    jar : str
        Jar id.
    jar_name : str
        Jar name.
    area : float
        Area covered [m2].
    powder_depth, fired_thickness : Figure
        Per laying. For a fill to level, `powder_depth` is the recess and `fired_thickness` the final glass.
    to_weigh : Figure
        Powder to weigh out per laying, sieve loss included.
    on_piece : Figure
        Powder that stays on the piece, all layings.
    layings : int
        How many times it is laid and fired.
    weighable : bool
        False below ten steps of the balance: go by level or look instead.
    how : str
        One line: how the amount was come by.
    hand : tuple of str
        What misses the piece and how solid the powder lies, and whose hand that is of.
    """

    coat: int
    face: Face
    jar: str
    jar_name: str
    area: float
    powder_depth: Figure
    fired_thickness: Figure
    to_weigh: Figure
    on_piece: Figure
    layings: int
    weighable: bool
    how: str
    hand: tuple[str, ...] = ()

    @property
    def in_all(self) -> Figure:
        """Powder to weigh out for all layings together."""
        one, n = self.to_weigh, self.layings
        return one.model_copy(update={"value": one.value * n, "low": one.low * n, "high": one.high * n})


class CoatState(Frozen):
    """Stress in one coat after a firing. Tension positive [Pa]; `outer` is the face away from the metal."""

    coat: int
    inner: Figure
    outer: Figure


class FiringState(Frozen):
    """The piece, cold, after one firing.

    Parameters
    ----------
    firing : int
        Number of the firing.
    bow : Figure
        Rise of the middle over the longest measure [m]; positive when the front is convex.
    bow_hot : Figure
        The same while the glass is fluid.
    coats : tuple of CoatState
        Every coat on the piece, back to front.
    heating_tension : Figure or None
        Largest tension in any coat on heating up for this firing [Pa]; upper estimate.
    heating_tension_at : float or None
        Temperature at which it occurs [K].
    """

    firing: int
    bow: Figure
    bow_hot: Figure
    coats: tuple[CoatState, ...]
    heating_tension: Figure | None = None
    heating_tension_at: float | None = None


class CounterBand(Frozen):
    """Counter-coat thicknesses that keep the piece flat enough [m of glass]."""

    low: float | None
    high: float | None
    flat: float | None
    limit: float
    words: str


class Flatness(Frozen):
    """What the stress model says.

    Parameters
    ----------
    reach : str
        ``full``, ``rough`` (outside the tested range) or ``not applicable``.
    why : str
        Why it is rough or not applicable.
    states : tuple of FiringState
        One per firing; empty when not applicable.
    chord : float
        Measure the bow is told over [m].
    counter : CounterBand or None
        Tolerance for the counter coat.
    limits : tuple of str
        Limits of validity, printed with every answer.
    draws : int
        How many draws stand behind the bands.
    """

    reach: Literal["full", "rough", "not applicable"]
    why: str = ""
    states: tuple[FiringState, ...] = ()
    chord: float = 0.0
    counter: CounterBand | None = None
    limits: tuple[str, ...] = ()
    draws: int = 0


class JarTotal(Frozen):
    """Powder of one jar for all copies, loss included."""

    jar: str
    jar_name: str
    grams: Figure
    synthetic: bool = False


class CoatHeat(Frozen):
    """The heat of all firings that one coat goes through.

    Parameters
    ----------
    coat, firings : int
        Number in the file, from 0; how often it is hot.
    glosses : float
        Its gloss clock at the end, as a multiple of what gloss took.
    turned : Figure
        Its second clock, of colours that turn: seconds at 800 °C.
    limit : float or None
        Where its owner has seen it turn [s at 800 °C].
    overs : Figure or None
        Its gloss clock at the end, as a multiple of what over-fires it.
    """

    coat: int
    firings: int
    glosses: float
    turned: Figure
    limit: float | None = None
    overs: Figure | None = None


class Plan(Frozen):
    """The whole plan of one piece.

    Parameters
    ----------
    piece : Piece
        As described.
    area : float
        Area of one face [m2], the curve of a dome included.
    chord : float
        Longest measure across [m].
    metal_mass : Figure or None
        Bare metal [kg]; None where the form is not sheet.
    metal_name : str
        As a maker calls it.
    weights, operations, firings : tuple
        Coats in file order, steps in bench order, firings in kiln order.
    flatness : Flatness
        What the stress model says.
    verdicts, advice, totals : tuple
        Judgements, lines that judge nothing, powder of each jar.
    cautions : tuple of str
        What can hurt, the one that matters most first.
    hand_time : Figure or None
        Hand work for one piece [s].
    heat : tuple of CoatHeat
        What heat each coat gets in all firings; empty where no firing is worked out.
    energy : Figure or None
        Electricity of all firings of one piece, the kiln being hot [J].
    """

    piece: Piece
    area: float
    chord: float
    metal_mass: Figure | None
    metal_name: str
    weights: tuple[CoatWeight, ...]
    operations: tuple[Operation, ...]
    firings: tuple[Firing, ...]
    flatness: Flatness
    verdicts: tuple[Verdict, ...]
    advice: tuple[Advice, ...]
    totals: tuple[JarTotal, ...]
    cautions: tuple[str, ...]
    hand_time: Figure | None = None
    heat: tuple[CoatHeat, ...] = ()
    energy: Figure | None = None

    @property
    def level(self) -> Level:
        """The verdict that leads."""
        return worst(self.verdicts)

    @property
    def leading(self) -> tuple[Verdict, ...]:
        """Verdicts worst first."""
        return in_order(self.verdicts)

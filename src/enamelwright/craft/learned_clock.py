"""What this studio's own firings have taught of one jar in one kiln, and of coats that were fired there before."""

from __future__ import annotations

from functools import lru_cache
from math import sqrt
from typing import Annotated

import numpy as np
import numpy.typing as npt
from pydantic import Field

from enamelwright.craft.description import Described

#: Stands for every jar that was never fired in a kiln: what its other firings teach of the kiln alone.
ANY_JAR = ""
#: What is learned together of one clock: its value, how it goes with heat, law and other pieces, and the pace.
AXES = 5
#: A load fuller than that takes no more to heat than one of so many other pieces.
MOST_OTHERS = 11
#: So many times faster or slower a kiln may heat pieces up, as a logarithm: beyond, they are as hot at once.
FASTEST = 2.0
#: Decades of the clock beyond which a coat is not what was foretold: a thousand times as much.
MOST_DECADES = 3.0

Decades = Annotated[float, Field(ge=-MOST_DECADES, le=MOST_DECADES)]
#: Decades beyond which nothing is known of one, so that no window can be told.
MOST_OPEN = 2.0
Spread = Annotated[float, Field(ge=0, le=MOST_OPEN)]


class LearnedClock(Described):
    """How much more of the gloss clock a jar, or any jar not fired yet, needs in a kiln than is taken of it.

    Told at the setting, for the coat and for the load at which the record knows it best. Away from there it moves by
    its slopes, and is less well known by their spread: the further off, the wider.
    """

    kiln: Annotated[str, Field(max_length=120)]
    jar: Annotated[str, Field(max_length=40, description="code; empty for every jar never fired in this kiln")]
    decades: Decades
    sd: Annotated[float, Field(gt=0, le=MOST_OPEN)] = Field(
        description="how well the next firing is known, the kiln of today and the hand included; of any jar, without it"
    )
    firings: Annotated[int, Field(ge=1, le=1_000_000)] = Field(1, description="how many of this jar it stands on")
    lot: Annotated[str, Field(max_length=40)] = Field(
        "", description="of the jar, where its firings told several apart; empty for what they have alike"
    )
    coat: Annotated[str, Field(max_length=40)] = Field(
        "", description="one coat of one design, laid and fired alike, that was fired before; empty for any"
    )
    hotter: Annotated[float, Field(ge=-1000, le=1000)] = Field(
        0.0, description="kelvin above the heat its jar is told by, where it is known best"
    )
    law: Decades = Field(0.0, description="decades by which the law of gloss moves the coat for which it is known best")
    others: Annotated[float, Field(ge=0, le=1000)] = Field(
        0.0, description="other pieces in the load, where it is known best"
    )
    by_heat: Decades = Field(0.0, description="decades more for each kelvin hotter")
    by_law: Decades = Field(0.0, description="decades more for each decade of the law")
    by_others: Decades = Field(0.0, description="decades more for each other piece in the load")
    pace: Annotated[float, Field(ge=-FASTEST, le=FASTEST)] = Field(
        0.0, description="logarithm of how many times faster than its heat balance has it this kiln heats pieces up"
    )
    spread: tuple[float, ...] = Field(
        (0.0,) * (AXES * (AXES + 1) // 2 - 1),
        min_length=AXES * (AXES + 1) // 2 - 1,
        max_length=AXES * (AXES + 1) // 2 - 1,
        description="covariances of value, heat, law, other pieces and pace, row by row from the diagonal on; the "
        "first, that of the value, is sd squared and left out",
    )
    shared: Spread = Field(0.0, description="part of sd that all coats of one firing share: the kiln of today")
    done: Annotated[float, Field(ge=0, le=3)] | None = Field(
        None, description="decades from the first gloss until pieces are taken out here"
    )
    done_sd: Spread = Field(0.0, description="how well that is known of the next firing")

    def at(self, hotter: float, law: float, others: float = 0.0) -> tuple[float, float]:
        """Return decades at the pace found, and how well they are known, at a setting, for a coat and a load.

        Parameters
        ----------
        hotter : float
            Kelvin above the heat the jar is told by.
        law : float
            Decades by which the law of gloss moves the coat from the ordinary one.
        others : float
            Other pieces in the load.
        """
        row = self._row(hotter, law, others)
        variance = float(row @ _square(self.sd, self.spread) @ row)
        # Covariances are told rounded: nowhere is it known better than the hand allows.
        middle = float(row @ (self.decades, self.by_heat, self.by_law, self.by_others, 0.0))
        return middle, sqrt(max(variance, self.sd**2 / 2))

    @property
    def pace_sd(self) -> float:
        """How well the pace is known."""
        return sqrt(max(self.spread[-1], 0.0))

    def by_pace(self, hotter: float, law: float, others: float = 0.0) -> float:
        """Return by how many decades more is needed for each unit by which the pace is faster than was found.

        Records made soon after loading cannot tell a faster pace from a glass that needs less.

        Parameters
        ----------
        hotter, law, others
            As for :meth:`at`.
        """
        if self.spread[-1] <= 0:
            return 0.0
        return float(_square(self.sd, self.spread)[-1] @ self._row(hotter, law, others)) / self.spread[-1]

    def _row(self, hotter: float, law: float, others: float) -> npt.NDArray[np.float64]:
        return np.array([1.0, hotter - self.hotter, law - self.law, min(others, MOST_OTHERS) - self.others, 0.0])


@lru_cache(maxsize=4096)
def _square(sd: float, spread: tuple[float, ...]) -> npt.NDArray[np.float64]:
    """Return the whole covariance, shape (AXES, AXES)."""
    square = np.zeros((AXES, AXES))
    square[np.triu_indices(AXES)] = (sd**2, *spread)
    return square + np.triu(square, 1).T

"""What this studio's own firings have taught of one jar in one kiln, and of coats that were fired there before."""

from __future__ import annotations

from math import sqrt
from typing import Annotated

from pydantic import Field

from enamelwright.craft.description import Described

#: Stands for every jar that was never fired in a kiln: what its other firings teach of the kiln alone.
ANY_JAR = ""

Decades = Annotated[float, Field(ge=-3, le=3)]
Spread = Annotated[float, Field(ge=0, le=2)]


class LearnedClock(Described):
    """How much more of the gloss clock a jar, or any jar not fired yet, needs in a kiln than is taken of it.

    Told at the setting and for the coat at which the record knows it best. Away from there it moves by the two slopes,
    and is less well known by their spread: the further off, the wider.
    """

    kiln: Annotated[str, Field(max_length=120)]
    jar: Annotated[str, Field(max_length=40, description="code; empty for every jar never fired in this kiln")]
    decades: Decades
    sd: Annotated[float, Field(gt=0, le=2)] = Field(
        description="how well the next firing is known, the kiln of today and the hand included; of any jar, without it"
    )
    firings: Annotated[int, Field(ge=1, le=1_000_000)] = Field(1, description="how many of this jar it stands on")
    coat: Annotated[str, Field(max_length=40)] = Field(
        "", description="one coat of one design, laid and fired alike, that was fired before; empty for any"
    )
    hotter: Annotated[float, Field(ge=-1000, le=1000)] = Field(
        0.0, description="kelvin above the heat its jar is told by, where it is known best"
    )
    law: Decades = Field(0.0, description="decades by which the law of gloss moves the coat for which it is known best")
    by_heat: Decades = Field(0.0, description="decades more for each kelvin hotter")
    by_law: Decades = Field(0.0, description="decades more for each decade of the law")
    spread: tuple[float, float, float, float, float] = Field(
        (0.0, 0.0, 0.0, 0.0, 0.0),
        description="covariances beyond sd squared: value and heat, value and law, heat, heat and law, law",
    )
    shared: Spread = Field(0.0, description="part of sd that all coats of one firing share: the kiln of today")
    done: Annotated[float, Field(ge=0, le=3)] | None = Field(
        None, description="decades from the first gloss until pieces are taken out here"
    )
    done_sd: Spread = Field(0.0, description="how well that is known of the next firing")

    def at(self, hotter: float, law: float) -> tuple[float, float]:
        """Return decades and how well they are known, at a setting and for a coat.

        Parameters
        ----------
        hotter : float
            Kelvin above the heat the jar is told by.
        law : float
            Decades by which the law of gloss moves the coat from the ordinary one.
        """
        heat, far = hotter - self.hotter, law - self.law
        value_heat, value_law, heats, both, laws = self.spread
        variance = self.sd**2 + 2 * (heat * value_heat + far * value_law + heat * far * both)
        variance += heat**2 * heats + far**2 * laws
        # Covariances are told rounded: nowhere is it known better than the hand allows.
        return self.decades + heat * self.by_heat + far * self.by_law, sqrt(max(variance, self.sd**2 / 2))

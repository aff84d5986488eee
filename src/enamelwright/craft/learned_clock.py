"""What this studio's own firings have taught of one jar in one kiln."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from enamelwright.craft.description import Described

#: Stands for every jar that was never fired in a kiln: what its other firings teach of the kiln alone.
ANY_JAR = ""


class LearnedClock(Described):
    """How much more of the gloss clock a jar, or any jar not fired yet, needs in a kiln than is taken of it."""

    kiln: Annotated[str, Field(max_length=120)]
    jar: Annotated[str, Field(max_length=40, description="code; empty for every jar never fired in this kiln")]
    decades: Annotated[float, Field(ge=-3, le=3)]
    sd: Annotated[float, Field(gt=0, le=2)] = Field(
        description="how well that is known, the kiln of today included; of any jar, without the jar"
    )
    firings: Annotated[int, Field(ge=1, le=1_000_000)] = Field(1, description="how many of this jar it stands on")

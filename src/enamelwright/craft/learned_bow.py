"""What this studio's own strips and discs have taught of one jar on one metal: how strongly they pull at each other."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from enamelwright.craft.description import Described

#: Widest a logarithm of a factor is kept; beyond it something else was measured.
WIDEST = 1.5

Logarithm = Annotated[float, Field(ge=-WIDEST, le=WIDEST)]
Spread = Annotated[float, Field(gt=0, le=WIDEST)]


class LearnedBow(Described):
    """Factors on what the tables say, as logarithms: of the glass's free strain, and of the metal's yield stress."""

    metal: Annotated[str, Field(max_length=40)]
    jar: Annotated[str, Field(max_length=40)]
    strain: Logarithm = Field(description="of how much the glass shrinks from its setting to cold; 0 as tabulated")
    strain_sd: Spread
    strain_before: Spread | None = Field(None, description="spread of the same before any strip")
    give: Logarithm = Field(description="of the stress at which the metal gives; 0 as tabulated")
    give_sd: Spread
    pieces: Annotated[int, Field(ge=1, le=1_000_000)] = Field(1, description="strips and discs it stands on")

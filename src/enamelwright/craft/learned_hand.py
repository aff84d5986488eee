"""What weighings have taught of one hand: how much powder misses the piece, and how dense it lies."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from enamelwright.craft.description import Described

#: Stands for everybody at this bench, and for every mesh.
ANYBODY, ANY_MESH = "", 0
#: Shares beyond which a weighing is a slip: what misses the piece, and what lies in a bed of powder.
POSSIBLE = {"loss": (0.0, 0.6), "packing": (0.2, 0.8)}


class LearnedHand(Described):
    """One habit of one person with one mesh."""

    what: Literal["loss", "packing"] = Field(description="share that misses when sifted; solid share of a bed")
    who: Annotated[str, Field(max_length=80)] = Field(ANYBODY, description="empty for everybody at this bench")
    mesh: Annotated[int, Field(ge=0, le=2000)] = Field(ANY_MESH, description="0 for every mesh")
    value: Annotated[float, Field(ge=0, lt=1)]
    sd: Annotated[float, Field(gt=0, lt=1)] = Field(description="of the next coat, the hand's own scatter included")
    weighings: Annotated[int, Field(ge=0, le=1_000_000)] = Field(description="of this person with this mesh")
    others: Annotated[int, Field(ge=0, le=1_000_000)] = Field(0, description="weighings of others it leans on")

    @property
    def words(self) -> str:
        """Whose weighings these are, and how many."""
        count = f"{self.weighings} {'weighing' if self.weighings == 1 else 'weighings'}"
        mesh = f" through {self.mesh} mesh" if self.mesh != ANY_MESH else ""
        if self.who == ANYBODY:
            return f"{count} of everybody here{mesh}"
        leaning = f", leaning on {self.others} of others here" if self.others else ""
        return f"{count} of {self.who}{mesh}{leaning}"

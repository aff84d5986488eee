"""The examples by technique, and edits of them, for the tests of the sequence and the documentation.

``CUSTOM`` is the table (technique, example, planned firings with the count spelled out); the customary
range and its source come from the reference table of techniques. ``EDITS`` changes one fact of an
example and states what must change in the plan.
"""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from enamelwright.craft.bench import Bench
from enamelwright.craft.laying import lay_up
from enamelwright.craft.layup import Layup
from enamelwright.craft.piece import Piece
from enamelwright.craft.sequence import Sequence, order
from enamelwright.craft.technique import custom
from enamelwright.craft.weights import weigh
from enamelwright.files.drawing import read_drawing

EXAMPLES = Path(__file__).parents[2] / "examples"
Data = dict[str, Any]


@dataclass(frozen=True)
class Custom:
    """One row of the table of planned firings."""

    technique: str
    example: str
    counted: dict[str, int]

    @property
    def planned(self) -> int:
        """Firings counted by hand from what the technique asks for."""
        return sum(self.counted.values())


#: Firings of every example, counted by hand; a fill to level takes five fills at packing 0.5 to within
#: 5 % of the depth: ceil(ln 0.05 / ln 0.5) = 5.
CUSTOM: tuple[Custom, ...] = (
    Custom("sift_opaque", "sifted-pendant", {"counter": 1, "opaques": 2}),
    Custom("transparent_flux", "clear-over-flux", {"flux": 1, "counter": 1, "transparents": 2}),
    Custom("transparent_direct", "clear-on-copper", {"first transparent": 1, "counter": 1, "transparents": 2}),
    Custom("stencil", "ripple-stud", {"counter": 1, "bases": 2, "stencil": 1}),
    Custom("sgraffito_dry", "scratched-tile", {"counter": 1, "base": 1, "scratched": 1}),
    Custom("sgraffito_liquid", "class-square", {"scratched slip": 1, "counter": 1, "flux": 1}),
    Custom(
        "cloisonne_silver", "lantern-pendant",
        {"counters": 2, "flux": 1, "wires": 1, "fills": 5, "leaded top": 1, "flash": 1},
    ),
    Custom("cloisonne_copper", "tide-brooch", {"flux": 1, "counters": 2, "wires": 1, "fills": 5, "flash": 1}),
    Custom("champleve", "reedbed-brooch", {"flux": 2, "fills": 5, "touch-up": 1, "flash": 1}),
    Custom("champleve", "shield-buckle", {"counter": 1, "fills": 5, "touch-up": 1, "flash": 1}),
    Custom("basse_taille", "fern-pendant", {"counter": 1, "fills": 5, "flash": 1}),
    Custom("plique_open", "window-drop", {"fills": 7, "flash": 1}),
    Custom("plique_backed", "window-on-mica", {"fills": 5, "unbacked refire": 1}),
    Custom("plique_etched", "dew-bowl", {"flux": 1, "wires": 1, "fills": 5, "flash": 1}),
    Custom("grisaille", "heron-plaque", {"counter": 1, "black": 2, "opal dust": 1, "whites": 5}),
    Custom("limoges", "orchard-miniature", {"counter": 1, "white": 1, "paint": 5, "clear": 1}),
    Custom("overglaze", "lettered-dish", {"counter": 1, "base": 1, "overglaze": 2}),
    Custom("foil", "moon-foil", {"counter": 1, "white": 1, "foil": 1, "transparents": 2}),
    Custom("liquid", "slip-plate", {"counter": 1, "slips": 2}),
    Custom("placed_glass", "thread-tile", {"counter": 1, "base": 1, "threads": 1}),
    Custom("torch", "torch-disc", {"counter": 1, "opaques": 2}),
    Custom("steel", "house-sign", {"both grounds": 1, "front covers": 2, "back cover": 1}),
    Custom("high_fire", "ember-panel", {"counter": 1, "soft": 1, "hard": 1}),
    Custom("both_sides", "one-firing-disc", {"both": 1}),
)  # fmt: skip


@dataclass(frozen=True)
class Planned:
    """A piece and its sequence."""

    layup: Layup
    sequence: Sequence

    @property
    def count(self) -> int:
        """How many firings."""
        return len(self.sequence.firings)

    @property
    def targets(self) -> list[str]:
        """Stage of every firing."""
        return [firing.target for firing in self.sequence.firings]

    @property
    def works(self) -> list[str]:
        """Kind of every operation."""
        return [operation.work for operation in self.sequence.operations]

    @property
    def side(self) -> str:
        """Rule that decided which side goes first."""
        return self.sequence.advice[0].rule


def data_of(example: str) -> Data:
    """Read one example."""
    return tomllib.loads((EXAMPLES / f"{example}.toml").read_text())


def plan(data: Data, bench: Bench | None = None) -> Planned:
    """Order the work of a piece described from outside."""
    piece = Piece.from_outside(data)
    file = data["outline"].get("file")
    drawn = read_drawing(EXAMPLES / file).shape() if file else None
    studio = bench or Bench.starter()
    layup = lay_up(piece, studio, drawn)
    return Planned(layup, order(layup, weigh(layup, studio), studio))


# --- edits -------------------------------------------------------------------------------------------


def one_more(coat: Data) -> Callable[[Data], None]:
    """Add a coat at the end."""
    return lambda data: data["coats"].append(coat)


def on_metal(kind: str) -> Callable[[Data], None]:
    """Change the metal."""
    return lambda data: data["metal"].update(kind=kind)


def no_counter(data: Data) -> None:
    """Take every back coat away."""
    data["coats"] = [coat for coat in data["coats"] if coat["face"] == "front"]


def front(jar: str, depth: float, **more: Any) -> Data:
    """Describe a front coat."""
    return {"face": "front", "jar": jar, "powder_depth_mm": depth, **more}


@dataclass(frozen=True)
class Edit:
    """One changed fact and what it must do to the plan.

    `more` is the change in the number of firings; `shows` checks the rest of the statement on (before, after).
    """

    example: str
    what: str
    change: Callable[[Data], None]
    more: int
    says: str
    shows: Callable[[Planned, Planned], bool]


def _adds_last(before: Planned, after: Planned) -> bool:
    """The coat that was last now stays at orange peel (or its own stage) and the new one is fired bright."""
    return after.targets[-1] in {"gloss", "cleared"} and after.sequence.firings[-1].fuses != ()


def _later_peel(before: Planned, after: Planned) -> bool:
    return _adds_last(before, after) and before.targets[-1] == "gloss" and after.targets[-2] == "orange peel"


def _no_scale(before: Planned, after: Planned) -> bool:
    return "clean oxide" in before.works and "clean oxide" not in after.works


def _scale(before: Planned, after: Planned) -> bool:
    return "clean oxide" not in before.works and "clean oxide" in after.works


def _back_first_gloss(before: Planned, after: Planned) -> bool:
    first = after.sequence.firings[0]
    return (
        before.side == "SIDE-1"
        and after.side == "SIDE-2"
        and first.loaded == "back"
        and "cleared" in before.targets
        and "cleared" not in after.targets
    )


def _front_first_cleared(before: Planned, after: Planned) -> bool:
    return (
        before.side == "SIDE-2"
        and after.side == "SIDE-1"
        and after.sequence.firings[0].loaded == "front"
        and after.targets[0] == "cleared"
        and _scale(before, after)
    )


def _bare_back(before: Planned, after: Planned) -> bool:
    """Nothing hangs free any more: the bare back lies on its support and is cleaned after every firing."""
    firings = after.sequence.firings
    return all(firing.loaded in {"front", "none"} and "bare back" in firing.rests_on for firing in firings)


def _counts(work: str, more: int) -> Callable[[Planned, Planned], bool]:
    return lambda before, after: after.works.count(work) - before.works.count(work) == more


_SILVER, _COPPER = on_metal("fine silver"), on_metal("copper")


def _counter_added(data: Data) -> None:
    data["coats"].insert(0, {"face": "back", "jar": "J10", "powder_depth_mm": 0.6})


def _eight_times(data: Data) -> None:
    for coat in data["coats"]:
        coat["times"] = 8


def _on_mica(data: Data) -> None:
    data["firing"] = {"support": "mica"}


def _unbacked(data: Data) -> None:
    data["technique"] = "plique_open"
    data.pop("firing")


def _no_wires(data: Data) -> None:
    data.pop("wires")
    for coat in data["coats"]:
        if coat.pop("fill", None):
            coat.update(powder_depth_mm=0.3, times=5)


def _flux_below(data: Data) -> None:
    place = next(n for n, coat in enumerate(data["coats"]) if coat["face"] == "front")
    data["coats"].insert(place, front("J02", 0.1))


def _second_foil(data: Data) -> None:
    data["foils"].append({"metal": "fine gold", "thickness_mm": 0.003, "pierced": True, "after_coat": 2})


_STAYS_UNCOUNTED = "same firings, and no oxide to clean"
_BARE = "the back stays bare: it lies on its support and is cleaned after each firing"

EDITS: tuple[Edit, ...] = (
    Edit("sifted-pendant", "a coat more", one_more(front("J04", 0.2)), 1, "the last but one stops at orange peel", _later_peel),
    Edit("sifted-pendant", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("sifted-pendant", "no counter", no_counter, -1, "the trivet holds the edge of the bare back", _bare_back),
    Edit("clear-over-flux", "a coat more", one_more(front("J14", 0.1)), 1, "the last but one stops at orange peel", _later_peel),
    Edit("clear-over-flux", "fine silver", _SILVER, 0, "no scale: back first, flux to gloss only", _back_first_gloss),
    Edit("clear-over-flux", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("clear-on-copper", "a coat more", one_more(front("J14", 0.1)), 1, "the last but one stops at orange peel", _later_peel),
    Edit("clear-on-copper", "fine silver", _SILVER, 0, "no scale: back first, to gloss only", _back_first_gloss),
    Edit("clear-on-copper", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit(
        "ripple-stud", "a coat more", one_more(front("J09", 0.1, share=0.1, stencil=True)), 1,
        "one more stencil is lifted", _counts("lift stencil", 1),
    ),
    Edit("ripple-stud", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("ripple-stud", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit(
        "scratched-tile", "a coat more", one_more(front("J09", 0.1, scratched=True)), 1,
        "one more drawing is scratched", _counts("scratch", 1),
    ),
    Edit("scratched-tile", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("scratched-tile", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("class-square", "a coat more", one_more(front("J03", 0.1)), 1, "a last firing is added", _adds_last),
    Edit("class-square", "fine silver", _SILVER, 0, "no line to blacken: back first, flux to gloss", _back_first_gloss),
    Edit("class-square", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit(
        "lantern-pendant", "a coat more", one_more(front("J16", 0.05, cells=["glow-left"])), 1,
        "still one flash at the end", lambda before, after: after.sequence.firings[-1].flash,
    ),
    Edit("lantern-pendant", "copper", _COPPER, 0, "front first, flux to cleared, oxide to clean", _front_first_cleared),
    Edit(
        "lantern-pendant", "no counter", no_counter, -2, "both counter coats go",
        lambda before, after: after.side == "SIDE-FRONT",
    ),
    Edit(
        "tide-brooch", "a coat more", one_more(front("J14", 0.05, cells=["wave"])), 1,
        "still one flash at the end", lambda before, after: after.sequence.firings[-1].flash,
    ),
    Edit("tide-brooch", "fine silver", _SILVER, 0, "no scale: back first, flux to gloss only", _back_first_gloss),
    Edit("tide-brooch", "no counter", no_counter, -2, _BARE, _bare_back),
    Edit("reedbed-brooch", "a coat more", one_more(front("J10", 0.05, cells=["dusk"], stone_after=True, set_c=780)), 1,
         "still stoned and flashed at the end", lambda before, after: after.sequence.firings[-1].flash),
    Edit("reedbed-brooch", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit(
        "reedbed-brooch", "a counter", _counter_added, 1, "front first because its flux must clear, then the back",
        lambda before, after: after.side == "SIDE-1" and after.sequence.firings[1].loaded == "back",
    ),
    Edit("shield-buckle", "a coat more", one_more(front("J09", 0.05, cells=["field"])), 1,
         "still one flash at the end", lambda before, after: after.sequence.firings[-1].flash),
    Edit("shield-buckle", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("shield-buckle", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("fern-pendant", "a coat more", _flux_below, 1, "the flux first, to orange peel in the relief",
         lambda before, after: after.sequence.firings[1].fuses == (1,)),
    Edit("fern-pendant", "copper", _COPPER, 0, "front first, first fill to cleared, oxide to clean", _front_first_cleared),
    Edit("fern-pendant", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("window-drop", "a fill more", _eight_times, 1, "one more round of every cell",
         lambda before, after: max(f.fill_round for f in after.sequence.firings) == 8),
    Edit("window-drop", "copper", _COPPER, 0, "the frame is cleaned after every firing", _scale),
    Edit("window-drop", "a backing", _on_mica, 0, "filled from the front on mica, which is peeled off before the flash",
         lambda before, after: _counts("remove backing", 1)(before, after)
         and all(f.loaded == "front" and f.support == "mica" for f in after.sequence.firings[:-1])),
    Edit("window-on-mica", "a coat more", one_more(front("J14", 0.05, cells=["cell-dawn"])), 1,
         "still one flash at the end", lambda before, after: after.sequence.firings[-1].flash),
    Edit("window-on-mica", "copper", _COPPER, 0, "the frame is cleaned after every firing", _scale),
    Edit("window-on-mica", "no backing", _unbacked, 0, "glass reaches both faces, nothing to peel off",
         lambda before, after: _counts("remove backing", -1)(before, after)
         and all(f.loaded == "both" for f in after.sequence.firings[:-1])),
    Edit("dew-bowl", "a coat more", one_more(front("J14", 0.05, cells=["upper"])), 1,
         "still one flash at the end", lambda before, after: after.sequence.firings[-1].flash),
    Edit("dew-bowl", "fine silver", _SILVER, 0, "no scale: flux to gloss only",
         lambda before, after: _no_scale(before, after) and after.targets[0] == "gloss"),
    Edit("dew-bowl", "no wires", _no_wires, -1, "nothing to embed",
         lambda before, after: not any(f.embeds for f in after.sequence.firings)),
    Edit("heron-plaque", "a coat more", one_more(front("J20", 0.05, share=0.2)), 1, "the whites before are just held", _later_peel),
    Edit("heron-plaque", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("heron-plaque", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("orchard-miniature", "a coat more", one_more(front("P02", 0.05, method="paint", share=0.1)), 1,
         "one more sitting, fired bright", _adds_last),
    Edit("orchard-miniature", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("orchard-miniature", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("lettered-dish", "a coat more", one_more(front("P04", 0.05, method="paint", share=0.1)), 1,
         "one more sitting, fired bright", _adds_last),
    Edit("lettered-dish", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("lettered-dish", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("moon-foil", "a foil more", _second_foil, 1, "one more foil is stuck in a firing of its own",
         lambda before, after: sum(f.embeds for f in after.sequence.firings) == 2),
    Edit("moon-foil", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("moon-foil", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("slip-plate", "a coat more", one_more(front("J19", 0.2, method="spray")), 1, "the last but one stops at orange peel", _later_peel),
    Edit("slip-plate", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("slip-plate", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("thread-tile", "a coat more", one_more(front("T01", 0.5, method="place", share=0.1)), 1,
         "the last but one stops at orange peel", _later_peel),
    Edit("thread-tile", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("thread-tile", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("torch-disc", "a coat more", one_more(front("J10", 0.2)), 1, "the last but one stops at orange peel", _later_peel),
    Edit("torch-disc", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("torch-disc", "no counter", no_counter, -1, "only the front is fired",
         lambda before, after: all(f.loaded == "front" for f in after.sequence.firings)),
    Edit("house-sign", "a coat more", one_more(front("S03", 0.1, share=0.2)), 1, "every cover is matured", _adds_last),
    Edit("house-sign", "copper", _COPPER, 1, "copper needs no ground on both faces at once: back, then front",
         lambda before, after: before.side == "SIDE-STEEL" and after.side == "SIDE-2"),
    Edit("house-sign", "no back", no_counter, -1, "the ground goes on the front alone", _bare_back),
    Edit("ember-panel", "a coat more", one_more(front("J07", 0.1)), 1, "the over-fired coat is followed by one to gloss",
         lambda before, after: after.targets[-2:] == ["over-fired", "gloss"]),
    Edit("ember-panel", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("ember-panel", "no counter", no_counter, -1, _BARE, _bare_back),
    Edit("one-firing-disc", "a coat more", one_more(front("J04", 0.2)), 1, "the pair stops at orange peel", _later_peel),
    Edit("one-firing-disc", "fine silver", _SILVER, 0, _STAYS_UNCOUNTED, _no_scale),
    Edit("one-firing-disc", "no counter", no_counter, 0, "one firing still, of the front alone", _bare_back),
)  # fmt: skip


def edited(edit: Edit) -> tuple[Planned, Planned]:
    """Return the plans before and after one edit."""
    before = data_of(edit.example)
    after = copy.deepcopy(before)
    edit.change(after)
    return plan(before), plan(after)


def table() -> list[dict[str, str]]:
    """Return the table of planned against customary firings, for the documentation."""
    rows = []
    for row in CUSTOM:
        usual = custom(row.technique)
        rows.append(
            {
                "technique": usual.name,
                "example": row.example,
                "planned": str(plan(data_of(row.example)).count),
                "counted": " + ".join(f"{n} {what}" for what, n in row.counted.items()),
                "customary": f"{usual.firings[0]}-{usual.firings[1]}",
                "source": "; ".join(usual.sources),
                "status": usual.status,
            }
        )
    return rows

"""Whether a piece on its support goes through the door, stands on the shelf and clears the roof."""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright import units
from enamelwright.craft.checks.wording import across
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_facts import KilnFacts, kiln_fact, kiln_facts
from enamelwright.craft.layup import Layup
from enamelwright.craft.piece import Support
from enamelwright.craft.verdict import Level, Place, Verdict
from enamelwright.figure import Figure, Origin
from enamelwright.reference import loader

RULE = "KILN-CLEAR"


@dataclass(frozen=True)
class Standing:
    """A piece on its support, as a block.

    Attributes
    ----------
    long, short : float
        Of its base, support included [m].
    top : float
        Above the shelf [m].
    """

    long: float
    short: float
    top: float


def standing(layup: Layup, support: Support) -> Standing:
    """Measure a piece on its support.

    Parameters
    ----------
    layup : Layup
        The piece.
    support : str
        What it rests on.
    """
    row = next(row for row in loader.rows("heat/support_sizes") if row["support"] == support)
    stands, margin = (units.to_si(float(row[name]), "mm", "length") for name in ("stands_mm", "margin_mm"))
    sides = sorted((layup.shape.width, layup.shape.height))
    tall = abs(layup.piece.dome) + layup.thickness
    if layup.piece.form != "sheet":
        tall = max(tall, sides[0])
    if support == "hung":
        sides, tall = [tall, sides[1]], sides[0]
    return Standing(long=sides[1] + 2 * margin, short=sides[0] + 2 * margin, top=stands + tall)


def clearance(layup: Layup, support: Support, kiln: Kiln | None, firing: int = 0) -> tuple[Verdict, ...]:
    """Judge a piece on its support against one kiln; nothing is said of a kiln nobody has measured.

    Parameters
    ----------
    layup : Layup
        The piece.
    support : str
        What it rests on.
    kiln : Kiln or None
        As told.
    firing : int
        Number of the firing, for the place of the verdict.

    Returns
    -------
    tuple of Verdict
        Empty when it clears, when nothing is known, or over a torch.
    """
    if kiln is None or kiln.kind == "torch" or support == "torch ring":
        return ()
    block, facts = standing(layup, support), kiln_facts(kiln)
    found = (_shelf(block, kiln, facts, firing), _door(block, kiln, facts, firing), _roof(block, kiln, facts, firing))
    return tuple(verdict for verdict in found if verdict is not None)


def _known(kiln: Kiln, *measures: float | None) -> bool:
    """Whether the measures were told, or a preset was chosen that has them."""
    return kiln.preset is not None or all(measure is not None for measure in measures)


def _fits(block: Standing, width: float, depth: float) -> bool:
    """Whether the base goes on a rectangle, either way round."""
    return (block.long <= depth and block.short <= width) or (block.long <= width and block.short <= depth)


def _shelf(block: Standing, kiln: Kiln, facts: KilnFacts, firing: int) -> Verdict | None:
    if not _known(kiln, kiln.shelf_width or kiln.width, kiln.shelf_depth or kiln.depth):
        return None
    back = kiln_fact("clear_back").value
    width, depth = kiln.shelf_width or facts.width, kiln.shelf_depth or facts.depth
    base = f"{across(block.short)} by {across(block.long)} with its support"
    room = f"shelf {across(width)} wide, {across(depth)} deep"
    if not _fits(block, width, depth):
        return _verdict(
            "stop",
            f"It does not stand in '{kiln.name}': the piece on its support is larger than the shelf.",
            "Use a larger kiln, a smaller support, or a smaller piece.",
            (base, room),
            block.long,
            firing,
        )
    inside = facts.depth - 2 * back
    if not _fits(block, min(width, facts.width), min(depth, inside)):
        return _verdict(
            "watch",
            f"It stands close to the back wall or the door of '{kiln.name}'.",
            "Set it in the middle and look for the cooler edge by the door; a smaller support helps.",
            (base, room, f"{across(back)} wanted at front and back"),
            block.long,
            firing,
        )
    return None


def _door(block: Standing, kiln: Kiln, facts: KilnFacts, firing: int) -> Verdict | None:
    if not _known(kiln, kiln.door_width or kiln.width, kiln.door_height or kiln.height):
        return None
    side, lift = kiln_fact("clear_side").value, kiln_fact("clear_lift").value
    # Whichever side goes first, the other must fit the depth; the shelf judges that.
    narrow = block.short if block.long <= facts.depth else block.long
    because = (
        f"{across(narrow)} wide and {across(block.top)} high on its support",
        f"door {across(facts.door_width)} by {across(facts.door_height)}",
        f"{across(side)} wanted on each side, {across(lift)} to lift it in",
    )
    remedy = "Use a lower or narrower support, take it in turned, or use a larger kiln."
    if narrow > facts.door_width or block.top > facts.door_height:
        words = f"It does not go through the door of '{kiln.name}' on this support."
        return _verdict("stop", words, remedy, because, max(narrow, block.top), firing)
    if narrow + 2 * side > facts.door_width or block.top + lift > facts.door_height:
        words = f"It goes through the door of '{kiln.name}' with hardly any room: try it cold first."
        return _verdict("watch", words, remedy, because, max(narrow, block.top), firing)
    return None


def _roof(block: Standing, kiln: Kiln, facts: KilnFacts, firing: int) -> Verdict | None:
    if not _known(kiln, kiln.height):
        return None
    gap = kiln_fact("clear_roof").value
    because = (f"top {across(block.top)} above the shelf", f"inside height {across(facts.height)}")
    remedy = "Use a lower support."
    if block.top >= facts.height:
        words = f"It is higher on its support than '{kiln.name}' is inside."
        return _verdict("stop", words, remedy, because, block.top, firing)
    if block.top + gap > facts.height:
        words = f"Its top comes close to the roof of '{kiln.name}', where it is hotter and may touch the element."
        return _verdict("watch", words, remedy, (*because, f"{across(gap)} wanted"), block.top, firing)
    return None


def _verdict(level: Level, words: str, remedy: str, because: tuple[str, ...], length: float, firing: int) -> Verdict:
    origin = Origin(kind="computed", source="piece, support and kiln as told", status="assumption")
    return Verdict(
        rule=RULE,
        level=level,
        words=words,
        remedy=remedy,
        because=because,
        sources=("judgement of the authors of these tables",),
        figure=Figure.exact(length, "length", origin),
        place=Place(firing=firing),
    )

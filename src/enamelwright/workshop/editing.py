"""A design or a piece on the drawing board: every change a draft, Undo, and keeping it as a new version."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Row

from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Drawing, Piece
from enamelwright.errors import InputError
from enamelwright.records.errors import Conflict
from enamelwright.records.schema.designs import design_version
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.designs import KeptDesign, design_row, keep_design, piece_of, version_row
from enamelwright.workshop.drafts import draft, drafts, drop_drafts, save_draft, undo
from enamelwright.workshop.kept_drawings import KeptDrawing, digest_of, drawing_laid_by, drawn_shape, put_drawing
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio


@dataclass(frozen=True)
class Board:
    """What is being worked on.

    Attributes
    ----------
    subject : str
        Under which its drafts are kept.
    address : str
        Where its pages begin.
    name : str
        What it is called.
    number : str
        Number of the piece; empty for a design.
    design, version, version_number : int
        Rows of design and newest version, and the version's number.
    kept, piece : Piece
        As kept, and as it is now.
    drawing : mapping or None
        Of its outline, now.
    draft : int
        Row of the newest draft; 0 for none.
    overtaken : bool
        Whether a newer version was kept since this was begun.
    """

    subject: str
    address: str
    name: str
    number: str
    design: int
    version: int
    version_number: int
    kept: Piece
    piece: Piece
    drawing: KeptDrawing | None = field(repr=False)
    kept_drawing: KeptDrawing | None = field(repr=False)
    draft: int
    overtaken: bool = False

    @property
    def changed(self) -> bool:
        """Whether it differs from what is kept."""
        return self.piece != self.kept or digest_of(self.drawing) != digest_of(self.kept_drawing)

    def shape(self) -> Shape | None:
        """Return the drawn outline; None when the outline is told in numbers."""
        return drawn_shape(self.piece, self.drawing)


def of_design(studio: Studio, design: int) -> Board:
    """Put a design on the board, as it was left.

    Parameters
    ----------
    studio : Studio
        The studio.
    design : int
        Row of the design.
    """
    with studio.reading():
        row = design_row(studio, design)
        return _board(studio, f"design:{row.id}", f"/designs/{row.id}", row, version_row(studio, row.name), "")


def of_piece(studio: Studio, number: str) -> Board:
    """Put the design of one piece on the board; keeping it gives the piece the new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    number : str
        Number or label of the piece.

    Raises
    ------
    InputError
        When the piece has no design.
    """
    with studio.reading():
        row = piece_row(studio, number)
        if row.design_version is None:
            raise InputError(f"{row.number} was begun without a plan.", "Begin a design, and start it from there.")
        version = version_row(studio, row.design_version)
        design = design_row(studio, version.design)
        return _board(studio, f"piece:{row.number}", f"/pieces/{row.number}", design, version, row.number)


def _board(studio: Studio, subject: str, address: str, design: Row[Any], version: Row[Any], number: str) -> Board:
    kept = piece_of(version)
    last = draft(studio, subject)
    piece, drawing = kept, version.drawing or None
    overtaken = False
    if last is not None:
        piece = Piece.from_outside(last.content["piece"], "draft")
        overtaken = last.content["version"] != version.number
        if last.content["drawing"] != digest_of(drawing):
            drawing = drawing_laid_by(studio, last.content["drawing"]) if last.content["drawing"] else None
    return Board(
        subject, address, design.name, number, design.id, version.of, version.number, kept, piece, drawing,
        version.drawing or None, last.id if last is not None else 0, overtaken,
    )  # fmt: skip


def marks(studio: Studio) -> dict[int, tuple[int, int]]:
    """Return for every design the rows of its newest version and of its newest draft, 0 for none, in two questions.

    Two equal marks mean that nothing on that board has changed.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    with studio.reading() as connection:
        rows = connection.execute(current(design_version).order_by(design_version.c.number)).all()
    typed = {row.subject: int(row.id) for row in drafts(studio)}
    return {row.design: (int(row.of), typed.get(f"design:{row.design}", 0)) for row in rows}


def save(
    studio: Studio, board: Board, piece: Piece, seen: int | None = None, drawing: KeptDrawing | None = None
) -> int:
    """Keep a change as the next draft and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    board : Board
        What was changed.
    piece : Piece
        As it is now.
    seen : int, optional
        The draft it was made from, 0 for none; somebody else's newer one is not run over.
    drawing : mapping, optional
        A new drawing of its outline; the one it has when left out.

    Raises
    ------
    Conflict
        When another draft came in between.
    """
    # A piece file names its drawing; whatever is told in numbers has none.
    lies = (drawing or board.drawing) if isinstance(piece.outline, Drawing) else None
    with studio.writing():
        last = draft(studio, board.subject)
        newest = last.id if last is not None else 0
        if seen is not None and seen != newest:
            raise Conflict(
                "somebody changed this in the meantime.", "Open it again to see their change, then make yours.",
                board.name, mine={"content": piece.to_outside()},
                theirs={"content": last.content if last is not None else None},
            )  # fmt: skip
        if last is None:
            save_draft(studio, board.subject, _content(board, board.kept, board.kept_drawing))
        if drawing is not None:
            put_drawing(studio, drawing)
        drop_drafts(studio, _undone(board.subject))
        return save_draft(studio, board.subject, _content(board, piece, lies))


def go_back(studio: Studio, board: Board) -> bool:
    """Undo the last change; False when there is none. What was undone can be done again."""
    with studio.writing():
        last = draft(studio, board.subject)
        if last is None or undo(studio, board.subject) is None:
            return False
        save_draft(studio, _undone(board.subject), last.content)
        return True


def do_again(studio: Studio, board: Board) -> bool:
    """Do again what was undone last; False when there is nothing."""
    with studio.writing():
        last = draft(studio, _undone(board.subject))
        if last is None:
            return False
        save_draft(studio, board.subject, last.content)
        if undo(studio, _undone(board.subject)) is None:
            drop_drafts(studio, _undone(board.subject))
        return True


def can_do_again(studio: Studio, board: Board) -> bool:
    """Tell whether something was undone that can be done again."""
    return draft(studio, _undone(board.subject)) is not None


def keep(studio: Studio, board: Board, words: str = "") -> KeptDesign:
    """Keep what is on the board as a new version; a piece on it gets that version.

    Parameters
    ----------
    studio : Studio
        The studio.
    board : Board
        What to keep.
    words : str
        Why this version.
    """
    with studio.writing():
        kept = keep_design(
            studio, board.piece, board.name, words=words.strip() or None,
            drawing=dict(board.drawing) if board.drawing is not None else None,
        )  # fmt: skip
        if board.number:
            studio.change(piece_table, piece_row(studio, board.number).id, design_version=kept.version)
        drop_drafts(studio, board.subject)
        drop_drafts(studio, _undone(board.subject))
        return kept


def take_back(studio: Studio, board: Board) -> bool:
    """Take back the newest version: it stays in the record as withdrawn, and is on the board again as a draft.

    Parameters
    ----------
    studio : Studio
        The studio.
    board : Board
        Just kept.

    Returns
    -------
    bool
        False for a first version, which others may stand on.
    """
    with studio.writing():
        newest = version_row(studio, board.version)
        if newest.before is None or board.changed:
            return False
        if board.number:
            studio.change(piece_table, piece_row(studio, board.number).id, design_version=newest.before)
        studio.withdraw(design_version, newest.of, "taken back at once")
        before = of_piece(studio, board.number) if board.number else of_design(studio, board.design)
        save(studio, before, board.piece, drawing=board.drawing)
        return True


def start_over(studio: Studio, board: Board) -> None:
    """Lay aside all changes by one more draft, so that Undo brings them back."""
    with studio.writing():
        save_draft(studio, board.subject, _content(board, board.kept, board.kept_drawing))


def _content(board: Board, piece: Piece, drawing: KeptDrawing | None) -> dict[str, Any]:
    return {"piece": piece.to_outside(), "version": board.version_number, "drawing": digest_of(drawing)}


def _undone(subject: str) -> str:
    return f"{subject}:undone"

"""Coats: the section to scale is the editor; every change is answered while it is made."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.datastructures import FormData
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright.craft.coat import STAGES, Face
from enamelwright.craft.piece import Piece
from enamelwright.errors import InputError
from enamelwright.web.boards import address_of, board_of, json_text, said
from enamelwright.web.coat_forms import changes_of, stepped
from enamelwright.web.coat_view import METHODS, WAYS, view
from enamelwright.web.render import show
from enamelwright.web.visit import studio_of
from enamelwright.workshop import editing, kept_drawings, stack_edits, trying
from enamelwright.workshop.editing import Board

router = APIRouter(include_in_schema=False)

#: A stack longer than this is not one of ours [characters].
LONGEST_STACK = 400_000


@router.get("/designs/{design:int}/coats")
@router.get("/pieces/{number}/coats")
def coats(request: Request) -> HTMLResponse:
    """Show the stack with one coat chosen."""
    board = board_of(request)
    tried = trying.settle(studio_of(request), board.subject, board.piece, board.shape())
    at = _chosen(request.query_params.get("at", ""), board.piece)
    after = _after(request.query_params.get("after", ""), len(tried.plan.firings))
    return show(
        request,
        "coats.html",
        board=board,
        v=view(tried, board.piece, at, after, board.shape()),
        can_again=editing.can_do_again(studio_of(request), board),
        said=said(request),
        ways=WAYS,
        methods=METHODS,
        stages=STAGES,
        stack=json_text(board.piece.to_outside()),
    )


@router.post("/designs/{design:int}/coats/preview")
@router.post("/pieces/{number}/coats/preview")
async def preview(request: Request) -> Response:
    """Answer what is being dragged: the whole stack comes with it and nothing is kept."""
    from starlette.concurrency import run_in_threadpool

    return await run_in_threadpool(_preview, request, await request.form())


def _preview(request: Request, form: FormData) -> Response:
    at = _whole(form, "at")
    stack = _stack(form)
    piece = Piece.from_outside(stack_edits.changed(stack, at, changes_of(form)) if at >= 0 else stack)
    studio, subject = studio_of(request), _subject(request)
    tried = trying.glance(studio, subject, piece) if form.get("settled") != "1" else None
    if tried is None:
        board = board_of(request)
        tried = trying.settle(studio, subject, piece, kept_drawings.drawn_shape(piece, board.drawing))
    return _live(request, tried, piece, at, form)


def _live(request: Request, tried: trying.Tried, piece: Piece, at: int, form: FormData, **more: Any) -> Response:
    after = _after(str(form.get("after", "")), len(tried.plan.firings))
    narrow = form.get("narrow") == "1"
    shown = view(tried, piece, at, after, None, narrow=narrow, both=False)
    from enamelwright.web.render import environment

    text = environment().get_template("coats_live.html").render(v=shown, address=address_of(request), **more)
    return HTMLResponse(text)


@router.post("/designs/{design:int}/coats")
@router.post("/pieces/{number}/coats")
async def edit(request: Request) -> Response:
    """Make one change."""
    from starlette.concurrency import run_in_threadpool

    return await run_in_threadpool(_edit, request, await request.form())


def _edit(request: Request, form: FormData) -> Response:
    studio, board = studio_of(request), board_of(request)
    do, at = str(form.get("do", "change")), _whole(form, "at")
    seen = _whole(form, "seen") if form.get("seen") else None
    if do in _WHOLE:
        return RedirectResponse(f"{board.address}/coats?said={_WHOLE[do](studio, board, form)}", 303)
    piece, at, code = _changed(board.piece, do, at, form)
    if piece != board.piece:
        seen = editing.save(studio, board, piece, seen)
    if form.get("live") == "1":
        fresh = board_of(request)
        tried = trying.settle(studio, board.subject, piece, fresh.shape())
        stack = json_text(piece.to_outside())
        return _live(request, tried, piece, at, form, board=fresh, stack=stack, can_again=False)
    after = f"&after={form['after']}" if form.get("after") else ""
    return RedirectResponse(f"{board.address}/coats?at={at}{after}{'&said=' + code if code else ''}#edit", 303)


def _changed(piece: Piece, do: str, at: int, form: FormData) -> tuple[Piece, int, str]:
    """Return the changed piece, the coat to stand at, and what to say."""
    if do == "lay":
        face: Face = "back" if form.get("face") == "back" else "front"
        place = _whole(form, "place")
        jar = str(form.get("jar") or "") or _likely_jar(piece, face)
        return (*stack_edits.lay(piece, face, jar, place if place > 0 else None), "laid")
    if do == "intend":
        return stack_edits.intend(piece, str(form.get("rule", "")), str(form.get("note", ""))), at, ""
    if do == "off":
        left = stack_edits.take_off(piece, at)
        return left, max(0, min(at, len(left.coats) - 1)), "off"
    if do in {"out", "in"}:
        return (*stack_edits.move(piece, at, do == "out"), "")
    if do == "over":
        return (*stack_edits.turn_over(piece, at), "")
    if do in {"less", "more"}:
        return stack_edits.change(piece, at, stepped(form, 1 if do == "more" else -1)), at, ""
    if do == "change":
        return stack_edits.change(piece, at, changes_of(form)), at, ""
    raise InputError(f"'{do[:20]}' is nothing that can be done to a coat.", "Open the page again.")


def _likely_jar(piece: Piece, face: str) -> str:
    """Return the jar of the outermost coat on a face, else any jar of the piece, else a plain opaque."""
    mine = [coat.jar for coat in piece.coats if coat.face == face] or [coat.jar for coat in piece.coats]
    if mine:
        return mine[-1]
    return piece.jars[0].id if piece.jars else "lead_free_opaque_titania_medium"


def _undo(studio: Any, board: Board, _form: FormData) -> str:
    return "undone" if editing.go_back(studio, board) else "nothing"


def _again(studio: Any, board: Board, _form: FormData) -> str:
    return "again" if editing.do_again(studio, board) else "nothing"


def _fresh(studio: Any, board: Board, _form: FormData) -> str:
    editing.start_over(studio, board)
    return "fresh"


def _keep(studio: Any, board: Board, form: FormData) -> str:
    return "kept" if editing.keep(studio, board, str(form.get("words", ""))[:2000]).new else "same"


def _take_back(studio: Any, board: Board, _form: FormData) -> str:
    return "taken-back" if editing.take_back(studio, board) else "first"


_WHOLE = {"undo": _undo, "again": _again, "fresh": _fresh, "keep": _keep, "take-back": _take_back}


@router.get("/designs/{design:int}/compare")
@router.get("/pieces/{number}/compare")
def compare(request: Request) -> HTMLResponse:
    """Set two stacks side by side, drawn to one scale and answered from the same draws."""
    from enamelwright.web.coat_compare import sides, what_differs

    board = board_of(request)
    left = request.query_params.get("left", "")
    right = request.query_params.get("right", "now")
    pair, names = sides(studio_of(request), board, left, right)
    return show(
        request, "coats_compare.html", board=board, pair=pair, names=names, said=said(request),
        differences=what_differs(pair[0].piece, pair[1].piece),
    )  # fmt: skip


# ---- what arrives -------------------------------------------------------------------------------


def _stack(form: FormData) -> Mapping[str, Any]:
    text = form.get("stack", "")
    if not isinstance(text, str) or len(text) > LONGEST_STACK:
        raise InputError("this stack is too long.", "Open the page again.")
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError("the stack did not arrive whole.", "Open the page again.") from error
    if not isinstance(data, Mapping):
        raise InputError("the stack did not arrive whole.", "Open the page again.")
    return data


def _subject(request: Request) -> str:
    """Return under which the drafts of an address are kept, without asking the record."""
    if "design" in request.path_params:
        return f"design:{request.path_params['design']}"
    return f"piece:{request.path_params['number']}"


def _whole(form: FormData, key: str) -> int:
    text = str(form.get(key, "")).strip()
    try:
        return int(text) if text else -1
    except ValueError as error:
        raise InputError(f"'{text[:20]}' is no whole number.", "Open the page again.", key) from error


def _chosen(text: str, piece: Piece) -> int:
    """Return the coat to edit: the one asked for, else the front's outermost; -1 when there is none."""
    if text.isdecimal() and int(text) < len(piece.coats):
        return int(text)
    front = piece.coats_on("front") or piece.coats_on("back")
    return front[-1][0] if front else -1


def _after(text: str, firings: int) -> int | None:
    return int(text) if text.isdecimal() and int(text) <= firings else None

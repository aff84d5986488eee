"""What a form tells is asked back: the question, everything that was sent, and a button that keeps it all the same."""

from __future__ import annotations

from collections.abc import Iterable
from http import HTTPStatus
from typing import Any

from starlette.requests import Request
from starlette.responses import HTMLResponse

from enamelwright.web.render import show
from enamelwright.workshop.says_two import AskedBack

#: Name of the field that says it was asked and is meant.
REALLY = "really"


def is_meant(form: Any) -> bool:
    """Tell whether a form was asked back and is meant.

    Parameters
    ----------
    form : FormData or Filled
        As it came.
    """
    text = form.text(REALLY) if hasattr(form, "text") else form.get(REALLY, "")
    return bool(text)


def ask_back(request: Request, sent: Iterable[tuple[str, Any]], error: AskedBack) -> HTMLResponse:
    """Show what is asked back; nothing of what was sent is lost.

    Parameters
    ----------
    request : Request
        As it came.
    sent : iterable of (str, object)
        Fields of the form.
    error : AskedBack
        The question.
    """
    fields = [(name, value) for name, value in sent if isinstance(value, str) and name != REALLY]
    return show(
        request, "asked.html", status=HTTPStatus.UNPROCESSABLE_ENTITY, error=error, sent=fields, to=request.url.path,
        really=REALLY,
    )  # fmt: skip

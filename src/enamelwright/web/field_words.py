"""What a complaint calls a field: by the words that stand on the form it came from, not by the field's own name."""

from __future__ import annotations

import re
from collections import OrderedDict
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from fastapi import Request

from enamelwright.errors import EnamelwrightError

#: A label that holds its field, and the macros that make one.
_LABEL = re.compile(r'<label[^>]*>\s*([^<{]+?)\s*(?:\{[^<]*)?<(?:input|select|textarea)\b[^>]*?\bname="(\w+)"')
_MACRO = re.compile(r'\b(?:line|pick)\("(\w+)", "([^"]+)"')
_PARTS = re.compile(r'\{% (?:include|import) "([\w.]+)"')
#: Pages whose template is remembered, the newest last.
_SHOWN: OrderedDict[str, str] = OrderedDict()
MOST = 500


@dataclass(frozen=True)
class Complaint:
    """An error as a page says it.

    Parameters
    ----------
    words : str
        What is wrong, the field called as on its form.
    place : str
        Where, as far as the words do not say it.
    field : str
        Name of the field, to be marked; empty without one.
    """

    words: str
    place: str = ""
    field: str = ""


@lru_cache(maxsize=256)
def labels_in(template: str) -> dict[str, str]:
    """Return the fields of a template and what they are called on it, those of its parts included."""
    place = files("enamelwright.web").joinpath("templates", template)
    if not place.is_file():
        return {}
    text = place.read_text("utf-8")
    found: dict[str, str] = {}
    for part in _PARTS.findall(text):
        found |= labels_in(part)
    found |= dict(_MACRO.findall(text))
    return found | {name: " ".join(words.split()) for words, name in _LABEL.findall(text)}


def remember(path: str, template: str) -> None:
    """Remember which template a page was drawn from."""
    if not labels_in(template):
        return
    _SHOWN[path] = template
    _SHOWN.move_to_end(path)
    while len(_SHOWN) > MOST:
        _SHOWN.popitem(last=False)


def complaint(error: EnamelwrightError, request: Request | None = None) -> Complaint:
    """Say an error in the words of the form it came from.

    Parameters
    ----------
    error : EnamelwrightError
        What is wrong.
    request : Request, optional
        What was sent; without one no field is called by its label.
    """
    where = error.where or ""
    last = re.split(r"[.,]", where.strip())[-1].strip().partition("[")[0]
    field = label = ""
    for field in (last.replace(" ", "_"), last.rpartition(" ")[2]):  # "set point" is the field set_point
        label = _label(field, request) if field else ""
        if label:
            break
    if not label:
        place = "" if where.endswith("Input") else where
        return Complaint(f"{error.message[:1].upper()}{error.message[1:]}", place)
    label = label.removeprefix("or ").removeprefix("and ")
    label = label[:1].upper() + label[1:]
    if error.message.startswith("this "):
        return Complaint(f"{label} {error.message.removeprefix('this ')}", "", field)
    return Complaint(f"{label}: {error.message}", "", field)


def _label(field: str, request: Request | None) -> str:
    if request is None:
        return ""
    referer = request.headers.get("referer", "").partition("?")[0]
    pages = [request.url.path, "/" + referer.split("/", 3)[3] if referer.count("/") > 2 else ""]
    for path in pages:
        known = labels_in(_SHOWN[path]) if path in _SHOWN else {}
        found = known.get(field) or known.get(field.rsplit("_", 1)[0])
        if found:
            return found
    return ""

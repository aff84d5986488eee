"""Parse an SVG file into plain elements, refusing what a drawing of a piece never needs.

Document types, entities, scripts, instructions and references to anything outside the file are refused
as the parser meets them, before anything is built from them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any
from xml.parsers import expat

from enamelwright.files.errors import FileError

#: Limits of what a drawing of one piece can need.
LARGEST_FILE = 5 * 1024**2  # bytes
MOST_ELEMENTS = 20_000
DEEPEST = 32  # groups and uses, one inside the other
_OUTSIDE = re.compile(r"(?i)@import|javascript:|expression\s*\(|url\(\s*['\"]?\s*(?!['\"]?#)")


@dataclass
class Element:
    """One element: its tag and attributes by local name, and what it holds."""

    tag: str
    attributes: dict[str, str]
    children: list[Element] = field(default_factory=list)


def scan(data: bytes) -> tuple[Element, dict[str, Element]]:
    """Parse into plain elements, refusing what a drawing never needs."""
    if len(data) > LARGEST_FILE:
        raise FileError(f"the file is larger than {LARGEST_FILE // 1024**2} MiB.", "Take pictures out.")
    parser = expat.ParserCreate(namespace_separator="}")
    parser.buffer_text = True
    top = Element("", {})
    stack = [top]
    ids: dict[str, Element] = {}
    count = 0

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal count
        count += 1
        if count > MOST_ELEMENTS:
            raise FileError(f"the drawing has more than {MOST_ELEMENTS} elements.", "Keep outline, holes and cells.")
        if len(stack) > DEEPEST:
            raise FileError(f"groups lie more than {DEEPEST} deep.", "Ungroup the drawing.")
        tag = name.rpartition("}")[2]
        if tag == "script" or any(key.lower().startswith("on") for key in attributes):
            raise FileError("the drawing holds a script.", "Save it as plain SVG without scripts.")
        plain: dict[str, str] = {}
        for key, value in attributes.items():
            local = key.rpartition("}")[2]
            if local in {"href", "src"} and not value.strip().startswith("#"):
                if not (tag == "image" and value.strip().lower().startswith("data:")):
                    raise FileError("the drawing refers to something outside itself.", "Embed or remove it.")
            elif "://" not in local and _OUTSIDE.search(value):
                raise FileError("the drawing refers to something outside itself.", "Save it as plain SVG.")
            plain[local] = value
        element = Element(tag, plain)
        if "id" in plain:
            ids.setdefault(plain["id"], element)
        stack[-1].children.append(element)
        stack.append(element)

    def text(words: str) -> None:
        if stack[-1].tag == "style" and _OUTSIDE.search(words):
            raise FileError("the drawing's style refers to something outside itself.", "Save it as plain SVG.")

    def refuse(*_: Any) -> int:
        raise FileError(
            "the file declares a document type or entities.", "Save it as plain SVG, or delete the DOCTYPE."
        )

    def instruction(target: str, _: str) -> None:
        raise FileError(f"the file holds an instruction '{target[:20]}'.", "Save it as plain SVG.")

    parser.StartElementHandler = start
    parser.EndElementHandler = lambda _: stack.pop()
    parser.CharacterDataHandler = text
    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    parser.ExternalEntityRefHandler = refuse
    parser.ProcessingInstructionHandler = instruction
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        raise FileError(
            f"the file breaks off or is not XML at line {error.lineno}.", "Save the drawing again."
        ) from error
    except (ValueError, LookupError) as error:  # an encoding nobody knows
        raise FileError("the file's text encoding cannot be read.", "Save it as UTF-8.") from error
    return top.children[0], ids

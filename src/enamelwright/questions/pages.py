"""Write the reference pages of the questions and of the piece file from their one description."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from enamelwright.craft.piece import Piece
from enamelwright.questions.question import names, question


def questions_page() -> str:
    """Return the page that lists every question with its input and an example that runs."""
    lines = [
        "# Questions",
        "",
        "Generated from the questions themselves. Each is asked on the command line as",
        "`enamelwright ask NAME < input.json`; the answer is JSON: payload, because, sources, assumptions, cautions.",
        "",
    ]
    for name in names():
        asked = question(name)
        lines += [f"## {name}", "", asked.words, "", "```json", json.dumps(dict(asked.example), indent=1), "```", ""]
        if name == "plan":
            lines += ["The input is a piece; see [the piece file](piece-file.md).", ""]
        else:
            schema = asked.input.outside_schema()
            lines += [*_table(schema["$defs"][asked.input.__name__]), ""]
    return "\n".join(lines).rstrip() + "\n"


def piece_file_page() -> str:
    """Return the page that documents every key of the piece file."""
    schema = Piece.outside_schema()
    lines = [
        "# The piece file",
        "",
        "A piece file is TOML. Generated from the one description of a piece; `enamelwright schema` prints the same as",
        "JSON Schema. A quantity is a key that names its unit with a plain number (`thickness_mm = 0.8`) or a bare key",
        'with a string (`thickness = "20 gauge (B&S)"`). A bare number under a bare key is refused.',
        "",
    ]
    order = ["Piece", *sorted(name for name in schema["$defs"] if name != "Piece")]
    for name in order:
        part = schema["$defs"][name]
        lines += [f"## {name}", "", part["description"], "", *_table(part), ""]
    return "\n".join(lines).rstrip() + "\n"


def _table(part: dict[str, Any]) -> Iterator[str]:
    yield "| key | what |"
    yield "| --- | --- |"
    for key, value in part["properties"].items():
        required = " (needed)" if key in part["required"] else ""
        yield f"| `{key}` | {_kind(value)}{required} |"


def _kind(value: dict[str, Any]) -> str:
    words = value.get("description", "")
    if "enum" in value:
        kind = "one of " + ", ".join(str(option) for option in value["enum"])
    elif "$ref" in value:
        kind = f"a table: {value['$ref'].rsplit('/', 1)[1]}"
    elif "anyOf" in value:
        kind = " or ".join(_kind(option) for option in value["anyOf"])
    elif value.get("type") == "array":
        kind = f"list of {_kind(value['items'])}"
    else:
        kind = {"string": "text", "number": "number", "integer": "whole number", "boolean": "true or false"}.get(
            value.get("type", ""), value.get("type", "anything")
        )
        if "examples" in value:
            kind = "text with its unit"
    return f"{kind}; {words}" if words else kind


PAGES = {"questions.md": questions_page, "piece-file.md": piece_file_page}

if __name__ == "__main__":
    import sys
    from pathlib import Path

    for file, page in PAGES.items():
        (Path(sys.argv[1]) / file).write_text(page(), encoding="utf-8")

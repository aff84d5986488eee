"""A terminal in a studio of its own, for tests that talk to the record as a maker does."""

from __future__ import annotations

import contextlib
import io
import json
import os
import sys
from pathlib import Path
from typing import Any
from unittest import mock

from enamelwright.cli.main import run


class Bench:
    """A terminal in a studio of its own; commands run in this process, where libraries are loaded once."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.env = {"ENAMELWRIGHT_HOME": str(home), "ENAMELWRIGHT_WHO": "M", "COLUMNS": "100"}

    def run(self, *words: str) -> tuple[int, str, str]:
        """Run a command as the shell would, and return its exit code and what it prints."""
        out, complaint = io.StringIO(), io.StringIO()
        code = 0
        with (
            mock.patch.dict(os.environ, self.env),
            mock.patch.object(sys, "argv", ["enamelwright", *words]),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(complaint),
        ):
            os.environ.pop("ENAMELWRIGHT_DATABASE", None)
            try:
                run()
            except SystemExit as end:
                code = end.code if isinstance(end.code, int) else 0
        return code, out.getvalue(), complaint.getvalue()

    def says(self, *words: str, code: int = 0) -> str:
        """Run a command, expect its exit code, and return what it prints."""
        ended, out, complaint = self.run(*words)
        assert ended == code, f"{words}: {out}{complaint}"
        return out if code == 0 else complaint

    def tells(self, *words: str) -> Any:
        """Run a command and return its JSON."""
        return json.loads(self.says(*words, "--json"))

"""Counts that the tests of faults report at the end of a run."""

from __future__ import annotations

import pytest


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print what each test of faults came to."""
    reports = [r for outcome in ("passed", "failed") for r in terminalreporter.stats.get(outcome, [])]
    lines = [str(value) for r in reports for name, value in r.user_properties if name == "faults"]
    if lines:
        terminalreporter.section("faults survived")
        for line in sorted(set(lines)):
            terminalreporter.write_line(line)

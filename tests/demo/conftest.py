"""One demonstration for all tests of this folder, built as a person would build it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from enamelwright.cli.main import app
from enamelwright.demo.place import demo_home
from enamelwright.workshop.studio import Studio


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demonstration in it; nobody writes to it."""
    folder = tmp_path_factory.mktemp("demonstration") / "demo"
    done = CliRunner().invoke(app, ["demo", "--home", str(folder)])
    assert done.exit_code == 0, done.output or done.exception
    assert "Invented demonstration data" in done.output
    return folder


@pytest.fixture(scope="session")
def studio(demo_folder: Path) -> Iterator[Studio]:
    """The demonstration, open."""
    opened = Studio.open(demo_home(demo_folder))
    yield opened
    opened.close()

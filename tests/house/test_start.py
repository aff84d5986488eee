"""start.py: what it promises without installing anything."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tree import ROOT, text_of, tree_of

START = ROOT / "start.py"


def run(*arguments: str, cwd: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    """Run start.py as a person would, from another folder."""
    return subprocess.run(
        [sys.executable, str(START), *arguments],
        cwd=cwd, env={**os.environ, **variables}, capture_output=True, text=True, check=False,
    )  # fmt: skip


def test_it_needs_the_standard_library_only() -> None:
    imported = {
        (alias.name if isinstance(node, ast.Import) else node.module or "").partition(".")[0]
        for node in ast.walk(tree_of(START))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for alias in node.names
    }
    assert imported <= set(sys.stdlib_module_names)


def test_an_old_python_can_read_it() -> None:
    """Python 3.8 must get as far as the sentence that says it is too old."""
    ast.parse(text_of(START), feature_version=(3, 8))


def test_help_needs_no_set_up(tmp_path: Path) -> None:
    done = run("--help", cwd=tmp_path)
    assert done.returncode == 0
    assert "python3 start.py test" in done.stdout
    assert not list(tmp_path.iterdir())


def start_copy(folder: Path) -> Path:
    """A checkout that holds only what start.py reads, in a folder whose name has a space."""
    place = folder / "a b"
    (place / "src" / "enamelwright" / "physics").mkdir(parents=True)
    for name in ("start.py", "uv.lock", "pyproject.toml"):
        (place / name).write_bytes((ROOT / name).read_bytes())
    return place / "start.py"


def test_without_network_one_sentence(tmp_path: Path) -> None:
    """The proxy named here answers nobody, which is what a bench without a network looks like."""
    nobody = "http://127.0.0.1:9"
    variables = {
        **{k: v for k, v in os.environ.items() if not k.startswith(("PIP_", "UV_"))},
        "HTTPS_PROXY": nobody, "https_proxy": nobody, "HTTP_PROXY": nobody, "http_proxy": nobody,
        "PIP_CONFIG_FILE": os.devnull, "PIP_NO_CACHE_DIR": "1",
    }  # fmt: skip
    done = subprocess.run(
        [sys.executable, str(start_copy(tmp_path)), "setup"], env=variables, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "needs the network" in done.stderr
    assert "Traceback" not in done.stderr


def load() -> dict[str, object]:
    """The names start.py defines."""
    names: dict[str, object] = {"__name__": "start", "__file__": str(START), "__doc__": ""}
    exec(compile(text_of(START), str(START), "exec"), names)
    return names


def test_too_old_a_python_gets_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    names = load()
    names["OLDEST"] = (99, 0)
    with pytest.raises(names["CannotStart"], match=r"needs Python 99\.0 or newer, and this is 3"):  # type: ignore[call-overload]
        names["check_python"]()  # type: ignore[operator]


def test_installer_is_pinned_with_digests() -> None:
    names = load()
    digests = names["UV_HASHES"]
    assert isinstance(digests, list)
    assert len(set(digests)) == len(digests) > 10
    assert all(re.fullmatch(r"[0-9a-f]{64}", d) for d in digests)
    assert re.fullmatch(r"\d+\.\d+\.\d+", str(names["UV"]))


def test_a_failed_stage_fails_the_run() -> None:
    """Exit 5 of pytest (no test found) counts as a failure like any other."""
    summary = load()["summary"]
    assert callable(summary)
    assert summary([("lint", 0, 0.1), ("tests", 0, 0.1)]) == 0
    assert summary([("lint", 0, 0.1), ("tests", 5, 0.1)]) == 1
    assert summary([("lint", 1, 0.1), ("tests", 0, 0.1)]) == 1

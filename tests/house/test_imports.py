"""What starting the product costs, and who may know which library."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
import tomllib

import pytest

from tree import PACKAGE, ROOT, name_of, package_files, tree_of

#: Libraries that take long to load and that no bare start needs.
HEAVY = {
    "babel", "coloraide", "ezdxf", "fluids", "ht", "numba", "ortools", "phreeqc", "pint", "scipy", "segno", "shapely", "spyrrow",
    "svgelements", "typst",
}  # fmt: skip

#: The pure folders: what stands below `files`, and the folders that think.
PURE = {"errors", "units", "figure", "reference", "physics", "craft", "planning", "learning", "questions"}


def loaded_by(code: str) -> set[str]:
    """Top-level modules loaded after running a line of Python in a new process."""
    tail = "\nimport json, sys; print(); print(json.dumps(sorted({m.partition('.')[0] for m in sys.modules})))"
    done = subprocess.run([sys.executable, "-c", code + tail], capture_output=True, text=True, check=True)
    return set(json.loads(done.stdout.splitlines()[-1]))


BARE_STARTS = {
    "import": "import enamelwright",
    "laws": "import enamelwright.physics",
    **(
        {
            "help": "import sys\nsys.argv = ['enamelwright', '--help']\nfrom enamelwright.cli.main import run\n"
            "try:\n    run()\nexcept SystemExit as end:\n    assert not end.code, end.code"
        }
        if (PACKAGE / "cli" / "main.py").exists()
        else {}
    ),
}


@pytest.mark.parametrize("start", BARE_STARTS)
def test_a_bare_start_loads_nothing_heavy(start: str) -> None:
    assert not loaded_by(BARE_STARTS[start]) & HEAVY


def imported(path_tree: ast.Module) -> set[str]:
    """Top-level names of everything a file imports, at its top or inside a function."""
    names: set[str] = set()
    for node in ast.walk(path_tree):
        if isinstance(node, ast.Import):
            names |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names.add(node.module.partition(".")[0])
    return names


def test_only_kernels_know_the_compiler() -> None:
    """Kernels of two files calling each other would be compiled without a cache."""
    kernels = [p for p in package_files() if "numba" in imported(tree_of(p))]
    assert {name_of(p) for p in kernels} <= {
        "src/enamelwright/physics/heating_kernel.py",
        "src/enamelwright/physics/laminate_kernel.py",
        "src/enamelwright/physics/landing_kernel.py",
    }
    modules = {p.stem for p in kernels}
    for path in kernels:
        sources = {n.module or "" for n in ast.walk(tree_of(path)) if isinstance(n, ast.ImportFrom)}
        assert not {s.rpartition(".")[2] for s in sources} & modules, "a kernel calls a kernel of another file"


def test_nothing_knows_pint() -> None:
    """pint evaluates arithmetic: it checks our units in the tests, and never reads what a person typed."""
    assert not {name_of(p) for p in package_files() if "pint" in imported(tree_of(p))}


#: Writes the generated pages of docs/ when a developer asks for it; never part of an answer.
WRITES_DOCS = "src/enamelwright/questions/pages.py"


def test_only_reference_opens_data_files_below_files() -> None:
    """A pure folder that could open a file would sooner or later remember something."""
    opening = {
        name_of(p)
        for p in package_files("physics", "craft", "planning", "learning", "questions")
        if imported(tree_of(p)) & {"pathlib", "io", "os", "tempfile", "shutil", "sqlite3", "csv"}
    }
    assert opening <= {WRITES_DOCS}


def test_the_import_contract_covers_every_pure_folder() -> None:
    """A new folder joins the contract in the commit that makes it."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    covered = next(set(c["source_modules"]) for c in contracts if c["id"] == "pure")
    there = {n for n in PURE if (PACKAGE / n / "__init__.py").exists() or (PACKAGE / f"{n}.py").exists()}
    assert {f"enamelwright.{name}" for name in there} == covered


def test_every_folder_says_its_one_job() -> None:
    folders = {p.parent for p in package_files()}
    without = [name_of(f) for f in sorted(folders) if not (f / "__init__.py").exists()]
    silent = [
        name_of(f)
        for f in sorted(folders)
        if (f / "__init__.py").exists() and not ast.get_docstring(tree_of(f / "__init__.py"))
    ]
    assert not without, "folders without __init__.py"
    assert not silent, "folders whose __init__.py does not say what they are for"

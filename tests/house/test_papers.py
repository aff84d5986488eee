"""The papers of the house: README, docs, licences and change fragments say what is true."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tree import PACKAGE, ROOT, name_of, project_files, text_of

DOCS = ROOT / "docs"
CHANGES = ROOT / "changes"
PAGES = [p for p in project_files() if p.suffix == ".md" and CHANGES not in p.parents]

#: Kinds of change, as CONTRIBUTING.md lists them.
KINDS = {"added", "changed", "fixed", "removed", "house"}


def visible(path: Path) -> str:
    """A page as read: without its comments."""
    return re.sub(r"<!--.*?-->", "", text_of(path), flags=re.DOTALL)


def local_links(path: Path) -> set[Path]:
    """Files of the project that a page links to or shows."""
    prose = re.sub(r"```.*?```|`[^`\n]*`", "", visible(path), flags=re.DOTALL)
    targets = re.findall(r"\]\(([^)#\s]+)", prose)
    return {(path.parent / t).resolve() for t in targets if not re.match(r"[a-z]+:", t)}


def test_readme_opens_with_the_job_then_the_two_commands() -> None:
    text = visible(ROOT / "README.md")
    job, first, second = text.find("enamel"), text.find("python3 start.py\n"), text.find("python3 start.py test")
    assert 0 <= job < first
    assert second > first
    assert "http" not in text[:first], "the first thing to read is the job"


def named_commands() -> set[str]:
    """Words that follow start.py or the program's name in the fenced blocks of the pages."""
    fenced = "\n".join(b for p in PAGES for b in re.findall(r"```.*?```", visible(p), re.DOTALL))
    return set(re.findall(r"^(?:python3 start\.py|enamelwright) ([a-z][\w-]*)", fenced, re.MULTILINE))


def test_the_commands_the_pages_name_exist() -> None:
    """Commands of start.py, and those of the product once it has a command line."""
    own = set(re.findall(r'command == "(\w+)"', text_of(ROOT / "start.py")))
    assert {"test", "bench", "setup"} <= own
    if (PACKAGE / "cli" / "main.py").exists():
        code = "import sys; sys.argv = ['enamelwright', '--help']; from enamelwright.cli.main import run; run()"
        plain = {**os.environ, "COLUMNS": "200", "TERM": "dumb", "NO_COLOR": "1"}
        shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=plain)
        known = set(re.findall(r"^\W*([a-z][\w-]*)", shown.stdout, re.MULTILINE))
        assert "plan" in known
        assert named_commands() - own <= known


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_links_lead_somewhere(page: Path) -> None:
    assert not [name_of(p) if p.is_relative_to(ROOT) else str(p) for p in local_links(page) if not p.exists()]


def test_every_page_is_found_from_the_index() -> None:
    """A page that no index names is a page nobody reads."""
    reached, open_pages = set(), {DOCS / "index.md"}
    while open_pages:
        page = open_pages.pop()
        reached.add(page)
        open_pages |= {p for p in local_links(page) if p.suffix == ".md" and DOCS in p.parents} - reached
    assert not [name_of(p) for p in PAGES if DOCS in p.parents and p not in reached]


def test_readme_and_contributing_lead_to_the_docs() -> None:
    assert DOCS / "index.md" in local_links(ROOT / "README.md")
    assert ROOT / "CONTRIBUTING.md" in local_links(ROOT / "README.md")


def test_change_fragments_have_the_form() -> None:
    """`changes/some-words.kind.md`: one short paragraph a maker or a developer understands."""
    fragments = [p for p in sorted(CHANGES.iterdir()) if p.name != "README.md"]
    assert fragments, "a change is told in changes/"
    bad = []
    for path in fragments:
        form = re.fullmatch(r"[a-z0-9]+(?:-[a-z0-9]+)*\.([a-z]+)\.md", path.name)
        text = text_of(path).strip()
        if not form or form[1] not in KINDS:
            bad.append(f"{path.name}: name it some-words.kind.md, kind one of {', '.join(sorted(KINDS))}")
        elif not text or "\n\n" in text or not text.endswith(".") or text.startswith(("#", "-", "*")):
            bad.append(f"{path.name}: one paragraph of whole sentences")
    assert not bad


def test_contributing_lists_the_kinds_of_change() -> None:
    assert all(f"`{kind}`" in text_of(ROOT / "CONTRIBUTING.md") for kind in KINDS)


def test_licence_is_named_and_whole() -> None:
    project = tomllib.loads(text_of(ROOT / "pyproject.toml"))["project"]
    text = text_of(ROOT / "LICENSE")
    assert project["license"] == "Apache-2.0"
    assert "Version 2.0, January 2004" in text
    assert "END OF TERMS AND CONDITIONS" in text


def test_every_runtime_dependency_is_acknowledged() -> None:
    project = tomllib.loads(text_of(ROOT / "pyproject.toml"))["project"]
    acknowledged = text_of(ROOT / "THIRD_PARTY.md").lower()
    names = [re.split(r"[<>=~!\[ ;]", d)[0].lower() for d in project["dependencies"]]
    assert not [n for n in names if f"| {n} |" not in acknowledged]


def test_vendored_fonts_come_with_their_licence() -> None:
    fonts = {p.parent for p in project_files() if p.suffix.lower() in {".ttf", ".otf", ".woff2"}}
    bare = [name_of(f) for f in fonts if not any(re.search(r"OFL|LICEN[CS]E", p.name, re.I) for p in f.iterdir())]
    assert not bare


def test_vendored_files_are_the_ones_named() -> None:
    """A file taken from elsewhere stands beside a list of digests, and is unchanged."""
    lists = [p for p in project_files() if p.name == "HASHES"]
    assert lists
    bad = []
    for path in lists:
        named = {name: digest for digest, name in (line.split(maxsplit=1) for line in text_of(path).splitlines())}
        there = {
            p.name for p in path.parent.iterdir() if p.name not in {"HASHES", "README.md", "__init__.py", "__pycache__"}
        }
        bad += [f"{name_of(path)}: {name} is only in one of folder and list" for name in there ^ set(named)]
        for name in there & set(named):
            if hashlib.sha256((path.parent / name).read_bytes()).hexdigest() != named[name]:
                bad.append(f"{name_of(path)}: {name} was changed")
    assert not bad


def test_lock_and_project_agree_on_the_dependencies() -> None:
    """A dependency added without locking would make the frozen set-up miss it."""
    project = tomllib.loads(text_of(ROOT / "pyproject.toml"))
    lock = tomllib.loads(text_of(ROOT / "uv.lock"))
    ours = next(p for p in lock["package"] if p["name"] == project["project"]["name"])

    def names(requirements: list[str]) -> set[str]:
        return {re.split(r"[<>=~!\[ ;]", r)[0].lower() for r in requirements}

    extras = [one for extra in project["project"]["optional-dependencies"].values() for one in extra]
    assert {d["name"] for d in ours["metadata"]["requires-dist"]} == names(project["project"]["dependencies"] + extras)
    assert {d["name"] for d in ours["metadata"]["requires-dev"]["dev"]} == names(project["dependency-groups"]["dev"])


def test_build_machine_runs_the_same_command_as_a_person() -> None:
    script = text_of(ROOT / ".ci" / "run")
    assert "python3 start.py test" in script
    assert "set -euo pipefail" in script
    assert "|| true" not in script

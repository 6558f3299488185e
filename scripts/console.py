"""Running other programs and talking to whoever typed the command, for the project's scripts.

Standard library only, and readable by any Python 3.7 or later.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import threading
from pathlib import Path
from typing import Callable, Dict, Sequence

ROOT = Path(__file__).resolve().parent.parent
CACHE = ROOT / ".cache"
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
        print(
            f"\nNot allowed to write {error.filename}: clone the project into a folder of your own.",
            file=sys.stderr,
        )
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


def explain(what: str, output: str) -> Stop:
    """The message for a download that failed."""
    if NO_NETWORK.search(output):
        return Stop(
            f"No network: {what} could not be fetched. Connect and run this again; "
            "what has arrived is kept. Once set up, no network is needed."
        )
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
            [str(part) for part in command],
            cwd=str(cwd),
            env=child_environment(**temporary, **more),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
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

"""Fetch the one part of the page's Python that no registry offers by itself: numpy's wheel for Pyodide.

It comes out of a Python package that carries a byte-identical copy of it, so that registries are all that is asked.

Only the wheel whose SHA-256 stands in the lock file of the pinned Pyodide is accepted, wherever it came from.
Standard library only.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import sys
import zipfile
from pathlib import Path

import console
import environment
from console import CACHE, Stop, say
from environment import NODE_MODULES

PYODIDE = NODE_MODULES / "pyodide"
WHEELS = CACHE / "runtime"
# The package that carries the wheel of the pinned release, where in it, and how large it is.
COPY = ("open-webui==0.6.18", "open_webui/frontend/pyodide/", "141 MB")


def wanted() -> tuple:
    """(file name, SHA-256) of numpy's wheel, from the pinned Pyodide's own lock file."""
    lock = json.loads((PYODIDE / "pyodide-lock.json").read_text(encoding="utf-8"))
    numpy = lock["packages"]["numpy"]
    return numpy["file_name"], numpy["sha256"]


def is_wanted(content: bytes, sha256: str) -> bool:
    """Whether these bytes are the wheel that the lock file names."""
    return hashlib.sha256(content).hexdigest() == sha256


def from_copy(name: str) -> bytes:
    """The wheel out of the package that carries a copy of it; raises Stop where that can't be had."""
    package, folder, size = COPY
    say(f"Fetching numpy for the page, out of a package that carries it ({size}, once)")
    kept = CACHE / "copy"
    try:
        code, output = console.stream(
            [
                environment.venv_python(),
                "-I",
                "-m",
                "pip",
                "download",
                "--no-deps",
                "--only-binary=:all:",
                "--python-version",
                "3.11",
                "--no-input",
                "--progress-bar",
                "off",
                "-d",
                kept,
                package,
            ],
            lambda line: None,
        )
        if code:
            raise console.explain("numpy for the page", output)
        for wheel in kept.glob("*.whl"):
            with zipfile.ZipFile(wheel) as archive:
                return archive.read(folder + name)
        return b""
    except (KeyError, zipfile.BadZipFile):
        return b""
    finally:
        shutil.rmtree(kept, ignore_errors=True)


def numpy_wheel() -> Path:
    """The path of the verified wheel, fetched if it isn't in the cache yet."""
    name, sha256 = wanted()
    path = WHEELS / name
    if path.exists() and is_wanted(path.read_bytes(), sha256):
        return path
    content = from_copy(name)
    if not is_wanted(content, sha256):
        raise Stop(
            f"What arrived as {name} is not what the lock file names, so it was thrown away. "
            "Try again on another network."
        )
    WHEELS.mkdir(parents=True, exist_ok=True)
    partial = path.with_suffix(".part")
    partial.write_bytes(content)
    partial.replace(path)
    return path


if __name__ == "__main__":
    sys.exit(console.guarded(lambda arguments: (say(str(numpy_wheel())), 0)[1]))

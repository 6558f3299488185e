"""Pack Python, numpy, tomlkit and calc for the page: trimmed, compiled, gzip in base64, as `.js` files.

One set of files serves http and disk alike, since a page from disk may load nothing but scripts. A hook of
mkdocs, so that the list of files for use without a network has these too; `pack_runtime.py SITE` does it
again for a built site. The same input gives the same bytes.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import importlib.metadata
import io
import json
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import console
from console import CACHE, ROOT, Stop, say
from environment import PAGE
from fetch_runtime import PYODIDE, numpy_wheel

PACKED = CACHE / "packed"
SOURCES = ROOT / "docs" / "assets" / "runtime"
CAN_COMPILE = sys.version_info[:2] == PAGE
EPOCH = (1980, 1, 1, 0, 0, 0)
# Docstrings of compiled functions, imported by numpy and read by nobody in the page; and of its linear algebra the
# four names that numpy imports and calc never calls (calc/elimination.py).
NUMPY_INSTEAD = {
    "numpy/_core/_add_newdocs.py": b"",
    "numpy/_core/_add_newdocs_scalars.py": b"",
    "numpy/linalg/__init__.py": b"eigvals = inv = lstsq = matrix_power = None\n",
}
# Hands its docstrings on to compiled functions, and can't do without.
NUMPY_TOLD = ("numpy/_core/multiarray.py",)
# What calc never imports. A trimmed module that is imported after all fails at once in the page's tests.
NUMPY_OUT = (
    "numpy/random/",
    "numpy/fft/",
    "numpy/ma/",
    "numpy/polynomial/",
    "numpy/f2py/",
    "numpy/testing/",
    "numpy/typing/mypy_plugin",
    "numpy/distutils/",
    "numpy/doc/",
    "numpy/ctypeslib",
    "numpy/conftest",
    "numpy/core/",
    "numpy/compat/",
    "numpy/char/",
    "numpy/rec/",
    "numpy/strings/",
    "numpy/_pyinstaller/",
    "numpy/linalg/",
    "numpy/_typing/",
    "numpy/_core/include/",
    "numpy/_core/lib/",
    "numpy/_core/_simd",
    "numpy/_core/_operand_flag_tests",
    "numpy/_core/_rational_tests",
    "numpy/_core/_struct_ufunc_tests",
    "numpy/_core/_umath_tests",
)
STDLIB_OUT = (
    "pydoc",
    "doctest",
    "unittest/",
    "mailbox",
    "http/",
    "xmlrpc/",
    "xml/",
    "imaplib",
    "nntplib",
    "smtplib",
    "poplib",
    "ftplib",
    "telnetlib",
    "multiprocessing/",
    "pdb",
    "bdb",
    "pickletools",
    "turtle",
    "wsgiref/",
    "logging/handlers",
    "logging/config",
    "cgi",
    "profile",
    "cProfile",
    "pstats",
    "trace.",
    "tracemalloc",
    "sqlite3/",
    "curses/",
    "ensurepip/",
    "idlelib/",
    "lib2to3/",
    "pyclbr",
    "modulefinder",
    "zipapp",
    "plistlib",
    "webbrowser",
    "socketserver",
    "optparse",
    "email/",
    "urllib/request",
    "urllib/robotparser",
    "sysconfig/",
    "venv/",
    "dbm/",
    "_pyio",
    "statistics",
    "configparser",
)


def kept(name: str, out: tuple[str, ...]) -> bool:
    """Whether a file of a package goes into the page."""
    return not (name.endswith("/") or name.startswith(out) or "/tests/" in name or ".dist-info/" in name)


def of_archive(path: Path, out: tuple[str, ...], kinds: tuple[str, ...]) -> dict[str, bytes]:
    """The files of a zip or wheel that go into the page."""
    with zipfile.ZipFile(path) as archive:
        return {n: archive.read(n) for n in archive.namelist() if kept(n, out) and n.endswith(kinds)}


def of_folder(base: Path, name: str, kinds: tuple[str, ...]) -> dict[str, bytes]:
    """The files of a folder `name` below `base`, named from `base`."""
    return {
        path.relative_to(base).as_posix(): path.read_bytes()
        for path in sorted((base / name).rglob("*"))
        if path.is_file() and path.suffix in kinds and "__pycache__" not in path.parts
    }


def stored_zip(files: dict[str, bytes]) -> bytes:
    """A zip without compression (it is compressed as a whole afterwards) and without times."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(files):
            archive.writestr(zipfile.ZipInfo(name, EPOCH), files[name])
    return out.getvalue()


def kept_under(name: str, suffix: str, key: bytes, make: Callable[[], bytes]) -> bytes:
    """What `make` gives, kept in the cache by what it was made from; an older one of the same name goes."""
    path = PACKED / f"{name}-{hashlib.sha256(key).hexdigest()[:32]}{suffix}"
    if not path.exists():
        PACKED.mkdir(parents=True, exist_ok=True)
        for stale in PACKED.glob(f"{name}-*{suffix}"):
            stale.unlink()
        partial = path.with_suffix(".part")
        partial.write_bytes(make())
        partial.replace(path)
    return path.read_bytes()


def compiled(name: str, sources: dict[str, bytes], terse: bool = False) -> dict[str, bytes]:
    """The same files with each `.py` as bytecode; unchanged where this Python isn't the page's version.

    terse: without docstrings and assertions, which makes for a quicker start. pyodide-build compiles; the time
    in each header is cleared, so that the bytes depend on the source alone.
    """
    if not CAN_COMPILE:
        return sources
    archive = stored_zip(sources)

    def compile_all() -> bytes:
        with tempfile.TemporaryDirectory() as folder:
            work = Path(folder) / "work.zip"
            work.write_bytes(archive)
            options = ["-I", "-OO"] if terse else ["-I"]
            command = [sys.executable, *options, "-m", "pyodide_cli", "py-compile", "--silent"]
            command += ["--compression-level", "0", str(work)]
            done = subprocess.run(command, capture_output=True, text=True, check=False)
            if done.returncode:
                raise Stop("The page's Python did not compile:\n" + (done.stderr or done.stdout)[-1500:])
            return work.read_bytes()

    key = archive + f"{sys.version} {terse}".encode()
    with zipfile.ZipFile(io.BytesIO(kept_under(name, ".zip", key, compile_all))) as result:
        files = {n: result.read(n) for n in result.namelist()}
    return {n: c[:4] + bytes(12) + c[16:] if n.endswith(".pyc") else c for n, c in files.items()}


def bundle(files: dict[str, bytes]) -> bytes:
    """Files in one piece: length of the index (4 bytes, low byte first), index in JSON, then the contents."""
    index = json.dumps([[name, len(files[name])] for name in sorted(files)], separators=(",", ":")).encode()
    return len(index).to_bytes(4, "little") + index + b"".join(files[name] for name in sorted(files))


def solutions() -> bytes:
    """The drive's slow solutions for the worked example, which the site's build has found anyway."""
    sys.path.insert(0, str(ROOT))
    from calc import sheet
    from calc.build import Build
    from calc.drive import correction

    torque = Build.of([("demo", sheet.demo().entries)]).nominal()["correction"].torque.tolist()
    return json.dumps([row for row in correction.kept() if row[2] == torque]).encode()


def parts() -> dict[str, bytes]:
    """What each asset holds, in the order in which the page needs them."""
    core = {name: (PYODIDE / name).read_bytes() for name in ("pyodide.js", "pyodide.asm.js")}
    lock = json.loads((PYODIDE / "pyodide-lock.json").read_text(encoding="utf-8"))
    core["pyodide-lock.json"] = json.dumps({**lock, "packages": {}}).encode()
    data = (".py", ".csv", ".toml", ".json", ".css")
    installed = Path(str(importlib.metadata.distribution("tomlkit").locate_file("")))
    numpy = of_archive(numpy_wheel(), NUMPY_OUT, (".py", ".so")) | NUMPY_INSTEAD
    told = {name: numpy.pop(name) for name in list(numpy) if name in NUMPY_TOLD}
    packages = compiled("numpy", numpy, terse=True) | compiled("told", told)
    packages |= compiled("tomlkit", of_folder(installed, "tomlkit", data))
    standard = of_archive(PYODIDE / "python_stdlib.zip", STDLIB_OUT, (".py",))
    # Pyodide's own modules hand their docstrings on when they start.
    own = {name: standard.pop(name) for name in list(standard) if name.startswith(("_pyodide/", "pyodide/"))}
    return {
        "wasm": (PYODIDE / "pyodide.asm.wasm").read_bytes(),
        "core": bundle(core),
        "stdlib": stored_zip(compiled("standard", standard, terse=True) | compiled("pyodide", own)),
        "packages": bundle(packages),
        # The page looks for the worked example where the package does on disk.
        "calc": bundle(
            compiled("calc", of_folder(ROOT, "calc", data))
            | of_folder(ROOT, "docs/examples", data)
            | {"calc/solved.json": solutions()}
        ),
    }


def asset(name: str, content: bytes) -> bytes:
    """The script that hands one part over to boot.js."""

    def script() -> bytes:
        text = base64.b64encode(gzip.compress(content, 9, mtime=0)).decode()
        return f'Turnabout.asset("{name}","{text}");\n'.encode("ascii")

    return kept_under(name, ".js", content, script)


def pack(site: Path) -> None:
    """Write the page's Python into a built site, and complete its boot.js.

    That file gets the worker and the table of the assets, so that a page needs one script to start from and
    never mixes assets of two builds: their addresses carry the hash of their content.
    """
    folder = site / "assets" / "runtime"
    folder.mkdir(parents=True, exist_ok=True)
    if not CAN_COMPILE:
        say("No Python 3.12 here: the page gets plain sources and will start about a second slower.")
    table = []
    for name, content in parts().items():
        script = asset(name, content)
        (folder / f"{name}.js").write_bytes(script)
        version = hashlib.sha256(script).hexdigest()[:12]
        table.append({"name": name, "file": f"{name}.js?{version}", "bytes": len(script)})
    pieces = [(SOURCES / name).read_text(encoding="utf-8") for name in ("boot.js", "worker.js")]
    pieces.append(f"Turnabout.assets = {json.dumps(table, indent=1)};\n")
    (folder / "boot.js").write_text("\n".join(pieces), encoding="utf-8", newline="\n")
    (folder / "worker.js").unlink(missing_ok=True)
    say("Packed Python for the page: %.1f MB" % (sum(row["bytes"] for row in table) / 1e6))


def on_post_build(config: Any, **_: Any) -> None:
    """mkdocs calls this when the pages have been written."""
    pack(Path(config.site_dir))


if __name__ == "__main__":
    sys.exit(console.guarded(lambda arguments: (pack(Path(arguments[0])), 0)[1]))

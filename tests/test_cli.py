"""The command line as a user types it: answers, JSON, exit codes, and messages on bad input."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pint
import pytest

from calc import cli, commands, sheet
from calc.calculators import CALCULATORS
from calc.fields import FIELDS, QUESTIONS
from tests.plain import spaces

ROOT = Path(__file__).resolve().parent.parent
CART = str(ROOT / "docs" / "examples" / "harvest-cart.toml")
ATTEMPT = str(ROOT / "docs" / "examples" / "first-attempt.toml")

RUN_SCHEMA = {
    "type": "object",
    "additionalProperties": False,
    "required": ["calculator", "inputs", "results", "findings"],
    "properties": {
        "calculator": {"type": "string"},
        "inputs": {
            "type": "object",
            "additionalProperties": {
                "type": "object",
                "required": ["value", "unit", "spread", "basis", "from"],
                "properties": {
                    "from": {"enum": ["given", "sheet", "demo", "usual", "computed"]},
                    "unit": {"type": "string"},
                    "spread": {"type": ["number", "null"]},
                    "basis": {"enum": ["measured", "rated", "guess", "usual", None]},
                },
            },
        },
        "results": {
            "type": "object",
            "additionalProperties": {
                "type": "object",
                "required": ["value", "unit"],
                "properties": {"unit": {"type": "string"}},
            },
        },
        "findings": {
            "type": "array",
            "items": {
                "type": "object",
                "additionalProperties": False,
                "required": ["severity", "text", "do"],
                "properties": {
                    "severity": {"enum": ["ok", "note", "caution", "stop"]},
                    "text": {"type": "string"},
                    "do": {"type": "string"},
                },
            },
        },
    },
}
CHECK_SCHEMA = {
    "type": "object",
    "required": ["build", "severity", "checks", "measure_next"],
    "properties": {
        "severity": {"enum": ["ok", "caution", "stop"]},
        "checks": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["id", "severity", "margin", "chance", "text", "do", "lever"],
            },
        },
        "measure_next": {
            "type": "array",
            "items": {"type": "object", "required": ["field", "share", "checks"], "maxProperties": 3},
        },
    },
}


def run(*words: str) -> tuple[int, str, str]:
    done = subprocess.run(
        [sys.executable, "-m", "calc", *words], cwd=ROOT, capture_output=True, encoding="utf-8", check=False
    )
    return done.returncode, done.stdout, done.stderr


def answer(*words: str) -> dict:
    code, out, err = run("run", *words, "--json")
    assert (code, err) == (0, "")
    data = json.loads(out)
    jsonschema.validate(data, RUN_SCHEMA)
    return data


def test_list_names_every_calculator_with_what_it_takes_and_gives() -> None:
    code, out, _ = run("list", "--json")
    assert code == 0
    rows = {row["id"]: row for row in json.loads(out)["calculators"]}
    assert set(rows) == set(CALCULATORS)
    assert {"gearing", "standing-start", "sensor-slots", "pack", "ride"} <= set(rows)
    duty = next(f for f in rows["ride"]["takes"] if f["field"] == "duty")
    assert list(duty["columns"]) == ["speed", "slope", "share"]
    code, out, _ = run("list")
    assert code == 0
    assert "takes duty = speed, slope, share" in out


@pytest.mark.parametrize("calculator", list(CALCULATORS))
def test_every_calculator_answers_with_the_demo_build(calculator: str) -> None:
    data = answer(calculator)
    registry: pint.UnitRegistry = pint.UnitRegistry()
    for result in data["results"].values():
        assert result["value"] is not None
        registry.Unit(result["unit"])  # ASCII that a stock unit library reads
        assert result["unit"].isascii()
    assert {i["from"] for i in data["inputs"].values()} <= {"demo", "computed"}
    code, out, _ = run("run", calculator)
    assert code == 0 and out.strip()


def test_gearing_in_hand_arithmetic() -> None:
    """3000 rpm through 11/60 on a wheel of 2.00 m a turn is 66.0 km/h (check values, section 6)."""
    data = answer(
        "gearing",
        "driver_teeth=11",
        "driven_teeth=60",
        f"wheel_diameter={2000 / 3.141592653589793} mm",
        "motor_speed=3000 rpm",
    )
    assert data["results"]["road_speed"]["value"] == pytest.approx(66.0, rel=1e-9)
    assert data["results"]["ratio"]["value"] == pytest.approx(60 / 11)
    assert data["inputs"]["driver_teeth"]["from"] == "given"


def test_a_field_with_spread_and_basis_from_the_shell() -> None:
    data = answer("standing-start", "rider_mass=95 kg ± 5 kg, measured")
    assert data["inputs"]["rider_mass"] == {
        "value": 95.0,
        "unit": "kg",
        "spread": 5.0,
        "basis": "measured",
        "from": "given",
    }
    assert data["inputs"]["total_mass"]["from"] == "computed"


def test_a_sheet_stands_below_what_is_given_and_nothing_comes_from_the_demo() -> None:
    data = answer("gearing", "--sheet", ATTEMPT, "driven_teeth=60")
    assert data["inputs"]["driven_teeth"]["from"] == "given"
    assert data["inputs"]["driver_teeth"]["from"] == "sheet"
    assert "demo" not in {i["from"] for i in data["inputs"].values()}


def test_the_demo_never_fills_in_what_is_optional_once_something_is_given() -> None:
    """Six pole pairs and 72 slots: the demo machine's sensor slots and coil span are not this machine's."""
    data = answer("sensor-slots", "pole_pairs=6", "slots=72", "connection=delta")
    assert data["results"]["usable"]["value"] is True
    assert data["results"]["alignment_error"]["value"] == pytest.approx(
        15
    )  # DESIGN: two slots, full pitch, 15° for both
    assert data["inputs"]["coil_span"] == {
        "value": 6.0,
        "unit": "",
        "spread": None,
        "basis": None,
        "from": "computed",
    }
    chorded = answer("sensor-slots", "pole_pairs=6", "slots=72", "connection=star", "coil_span=5")
    assert chorded["results"]["alignment_error"]["value"] == pytest.approx(0, abs=1e-9)
    star = answer("sensor-slots", "pole_pairs=8", "slots=48", "connection=star")
    assert abs(star["results"]["alignment_error"]["value"]) == pytest.approx(30)
    assert not any("charger" in f["text"] for f in answer("pack", "series=13")["findings"])


def test_what_is_not_used_gets_a_caution() -> None:
    data = answer("pack", "slope=5 %")
    assert any("Steepest slope" in f["text"] for f in data["findings"])


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("run", "gearing", "driver_teth=11"), "driver_teeth"),
        (("run", "gering"), "gearing"),
        (("run", "gearing", "driver_teeth"), "field=value"),
        (("run", "gearing", "driver_teeth=0"), "Teeth on the motor's sprocket"),
        (("run", "gearing", "slope=1", "slope=2"), "twice"),
        (("run", "gearing", "--sheet", "nowhere.toml"), "no such file"),
        (("check", "nowhere.toml"), "no such file"),
        (("print", "bill"), "build-record"),
        (("print", "build-record", "--out", "no/such/folder/x.html"), "can't be written"),
        ((), "Command"),
        (("fly",), "Command"),
    ],
)
def test_bad_input_is_exit_two_a_message_and_nothing_on_standard_output(
    words: tuple[str, ...], says: str
) -> None:
    code, out, err = run(*words)
    assert code == 2
    assert out == ""
    assert says in err
    assert "Traceback" not in err


def test_every_problem_in_one_go(tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text('[rider]\nrider_mass = "heavy"\n', encoding="utf-8")
    _, _, err = run("run", "gearng", "slope=steep", "colour=red", "--sheet", str(bad))
    for part in ("gearng", "steep", "colour", "heavy"):
        assert part in err


def test_check_passes_the_cart_and_stops_the_first_attempt() -> None:
    code, out, _ = run("check", CART, "--json")
    data = json.loads(out)
    jsonschema.validate(data, CHECK_SCHEMA)
    assert (code, data["build"], data["severity"]) == (0, "Harvest cart", "ok")
    code, out, _ = run("check", ATTEMPT, "--json")
    data = json.loads(out)
    jsonschema.validate(data, CHECK_SCHEMA)
    assert (code, data["severity"]) == (1, "stop")
    assert any(c["lever"] for c in data["checks"])
    code, out, _ = run("check", ATTEMPT)
    assert code == 1
    assert "Do:" in out


def test_a_check_of_few_entries_says_that_it_is_too_early(tmp_path: Path) -> None:
    file = tmp_path / "few.toml"
    file.write_text('[ride]\nslope = "8 %"\n', encoding="utf-8")
    code, out, _ = run("check", str(file))
    assert code == 0
    assert "Too little to tell yet" in out.splitlines()[0]
    assert "checks wait for entries" in out and "nothing entered yet" not in out
    named = out.split("Worth adding or measuring next:\n")[1].splitlines()
    assert all("(" in line for line in named[:5]) and "more; --json lists them all" in named[5]


def test_new_then_check_and_never_over_a_file(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    code, _, _ = run("new", str(file))
    assert code == 0
    before = file.read_text(encoding="utf-8")
    assert run("check", str(file))[0] == 0
    code, out, err = run("new", str(file))
    assert (code, out) == (2, "")
    assert "exists already" in err
    assert file.read_text(encoding="utf-8") == before


def test_print_gives_the_build_record(tmp_path: Path) -> None:
    out = tmp_path / "record.html"
    code, _, _ = run("print", "build-record", "--sheet", CART, "--out", str(out))
    html = spaces(out.read_text(encoding="utf-8"))
    assert code == 0
    assert "Harvest cart" in html and "DEMO VALUES" not in html and "58.4 V" in html
    code, demo, _ = run("print", "build-record")
    assert code == 0
    assert "DEMO VALUES" in demo


def test_our_own_fault_is_exit_seventy_and_no_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(commands, "list_all", lambda _json: 1 / 0)
    assert cli.main(["list"]) == 70
    err = capsys.readouterr().err
    assert "fault of Turnabout" in err and "Traceback" not in err


def test_nothing_is_imported_that_the_page_does_without(tmp_path: Path) -> None:
    """The packing leaves parts of numpy out; every command and answer must work without them."""
    from pack_runtime import NUMPY_OUT

    absent = [part.strip("/").replace("/", ".") for part in NUMPY_OUT if part.endswith("/")]
    assert "numpy.ma" in absent
    script = tmp_path / "without.py"
    script.write_text(
        f"import sys\nsys.path.insert(0, {str(ROOT)!r})\n"
        f"import numpy\nfor name in set({absent!r}) - set(sys.modules):\n    sys.modules[name] = None\n"
        "numpy.linalg.__dict__.update(dict.fromkeys(numpy.linalg.__all__))\n"
        "import json\nfrom calc import browser, sheet\nfrom calc.calculators import CALCULATORS\n"
        f"for s in (sheet.Sheet(), sheet.demo(), sheet.load({ATTEMPT!r})):\n"
        "    texts = {k: e.as_typed for k, e in s.entries.items()}\n"
        "    asks = [{'op': 'run', 'calculator': c, 'entries': texts} for c in CALCULATORS]\n"
        "    asks += [{'op': op, 'view': 'sheet', 'entries': texts, 'document': ''} "
        "for op in ('verdict', 'levers', 'record', 'save')]\n"
        "    asks += [{'op': 'open', 'toml': s.document}]\n"
        "    for ask in asks:\n"
        "        answer = json.loads(browser.handle(json.dumps(ask)))\n"
        "        assert answer['kind'] in ('result', 'invalid'), answer\n",
        encoding="utf-8",
    )
    done = subprocess.run([sys.executable, str(script)], capture_output=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    "words",
    [
        ("torque-speed", "emf_constant=12 V/krpm", "line_inductance=60 uH", "line_resistance=80 mohm"),
        ("winding-heat", "line_resistance=60 mohm", "current=30 A"),
        ("standing-start", "emf_constant=20 V/krpm", "line_inductance=50 uH"),
        ("overspeed", "emf_constant=20 V/krpm"),
    ],
)
def test_a_machine_that_is_half_given_does_not_contradict_the_demo(words: tuple[str, ...]) -> None:
    """Readings of the demo's machine that were taken with its other values give way to what they gave."""
    data = answer(*words)
    assert all(item["value"] is not None for item in list(data["results"].values())[:2])


def test_what_is_read_has_the_pages_units_and_what_is_not_there_is_said(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Units as printed beside a number, not as a library reads them; nothing entered isn't a part that isn't there."""
    assert cli.main(["run", "standing-start", "--sheet", ATTEMPT]) == 0
    told = capsys.readouterr().out
    assert "N·m" in told and not any(word in told for word in ("N*m", "degC", "percent", " deg"))
    assert cli.main(["compare", CART, ATTEMPT]) == 0
    told = capsys.readouterr().out
    assert (
        "rear | not entered" in told and "32 kg | not told" in told and "none" not in told.split("Entered")[1]
    )


def test_the_demo_that_stands_in_is_named_on_the_first_line() -> None:
    """Numbers of the worked example never pass for one's own."""
    _, out, _ = run("run", "gearing", "total_mass=90 kg")
    first = out.splitlines()[0]
    assert first.startswith("DEMO VALUES stand in for ") and "no --sheet" in first
    _, own, _ = run("run", "gearing", "--sheet", ATTEMPT)
    assert "DEMO" not in own
    count = int(first.split()[5])
    assert count == sum(i["from"] == "demo" for i in answer("gearing", "total_mass=90 kg")["inputs"].values())


def test_a_table_stands_in_columns() -> None:
    """Each column begins at one place in every line: a terminal shows no commas to count."""
    _, out, _ = run("run", "gearing", "--sheet", CART)
    lines = out.splitlines()
    head = next(k for k, line in enumerate(lines) if line.startswith("  Motor/axle"))
    place = lines[head].index("Top speed")
    for line in lines[head + 1 : head + 6]:
        assert line[place - 2 : place] == "  " and line[place].isdigit()


def test_a_usual_value_is_called_so_once() -> None:
    _, out, _ = run("run", "gearing", "--sheet", ATTEMPT)
    assert "(usual)" in out and "(usual, usual)" not in out


def test_wrong_values_and_misspelled_names_come_at_once(tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(
        'format = 1\n[ride]\nslop = "8 %"\nslope = "8 mm"\n[pack]\nvoltage = "36 V"\n', encoding="utf-8"
    )
    code, out, said = run("check", str(file))
    assert code == 2 and not out
    assert "“8 mm”" in said and "ride.slop" in said and "Did you mean slope" in said
    assert "cells in series (series)" in said and "divided by 3.2" in said


def test_a_new_sheet_names_the_entries_to_start_with() -> None:
    text = sheet.template()
    first = [key for _, keys in QUESTIONS for key in keys]
    head = text[: text.index("format = ")]
    assert all(key in head for key in first)
    marked = [line for line in text.splitlines() if line.startswith("# * ")]
    assert len(marked) == len(first)
    assert all(any(line.startswith(f"# * {FIELDS[key].label}:") for line in marked) for key in first)

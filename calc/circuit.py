"""The power circuit to print: the drawing with the build's values, and every run of wire with what it carries."""

from __future__ import annotations

import numpy as np

from calc import render, units, verdict
from calc.build import Build, Values
from calc.checklists import BLANK, CODES, MOST_NAMED, known, told
from calc.figures.circuit import Part, one_line
from calc.power import conductor
from calc.render_verdict import on_top
from calc.sheet import Sheet

SIGNAL = "0.5 mm²"  # control wires carry no more than a few amperes (common practice, no source)


def _drawing(build: Build, values: Values) -> str:
    def t(node: str, unit: str | None = None) -> str:
        return told(build, values, node, unit).replace(BLANK, BLANK[:6])  # two of them fit a box

    short = {"lfp": "LFP", "nmc": "NMC"}
    kind = t("chemistry").split(" (")[0]
    parts = {
        "pack": Part(
            "Pack",
            (
                f"{t('series')} in series, {short.get(kind, kind)}, {t('pack_capacity', 'A*hour')}",
                f"{t('voltage_min', 'V')} to {t('voltage_full', 'V')}",
            ),
        ),
        "inlet": Part(
            "Charger's inlet",
            (
                f"{t('charger_voltage', 'V')}, {t('charger_current', 'A')}, fuse {t('charger_fuse', 'A')}",
                "plugged in, no throttle",
            ),
        ),
        "protection": Part(
            "Protection of the pack",
            (
                f"opens at {t('pack_current_limit', 'A')}; mostly in minus",
                f"at {t('protection_voltage_min', 'V')} and {t('protection_voltage_max', 'V')}",
            ),
        ),
        "fuse": Part(
            "Main fuse",
            (f"{t('fuse_rating', 'A')}, {t('fuse_voltage', 'V')} DC", "a hand's breadth from plus"),
        ),
        "switch": Part(
            "Main switch",
            (
                f"breaks {t('break_asked', 'A')} at {t('voltage_full', 'V')} DC",
                "a broken wire opens it",
            ),
        ),
        "controller": Part(
            "Controller",
            (
                f"pack {t('battery_current_limit', 'A')}, phase {t('phase_current_limit', 'A')}",
                f"{t('controller_voltage_cutoff', 'V')} to {t('controller_voltage_max', 'V')}",
            ),
        ),
        "machine": Part(
            "Machine", (f"{t('connection').split(' (')[0]}, {t('pole_pairs')} pole pairs", "case to no pole")
        ),
        "stop": Part("Emergency stop", ("opens main switch,", "precharge and field")),
        "field_fuse": Part(
            "Field fuse and switch",
            (f"{BLANK} A, {t('voltage_full', 'V')} DC", "the emergency stop opens it too"),
        ),
        "precharge": Part(
            "Precharge",
            (
                f"{t('precharge_resistor', 'ohm')}, {t('precharge_time', 's')}",
                "the emergency stop opens it too",
            ),
        ),
        "supply": Part(
            "Field supply",
            (f"{t('field_current', 'A')}, up to {t('field_supply_volts', 'V')}", "rated for the pack"),
        ),
        "field": Part(
            "Brushes and field",
            (f"{t('field_resistance', 'ohm')}, {t('field_inductance', 'H')}", "diode across the brush leads"),
        ),
        "hold": Part("Throttle holds back", ("brake pulled, charger in,", "or field under four fifths")),
        "bleed": Part(
            "Bleed across the bus",
            (
                f"{t('bleed_resistor', 'ohm')} on {t('bus_capacitance', 'uF')}",
                "measure under 5 V all the same",
            ),
        ),
    }
    leads = {
        "pack": (t("cross_section", "mm**2"), t("loop_length", "m")),
        "machine": ("three leads",),
        "field": ("two leads",),
    }
    words = (
        "From the pack through its protection, main fuse and main switch to the controller and by three leads to the "
        "machine. The charger's inlet, with a fuse of its own, joins between protection and main fuse. Round the "
        "switch lies the precharge, with a contact and a fuse of its own. Behind the main fuse the field's own fuse "
        "and switch, its supply and the brushes, a diode across them. A bleed lies across the bus. The emergency stop "
        "opens main switch, precharge and field; brake, a plugged charger and a weak field hold the throttle back."
    )
    return one_line("circuit", parts, leads, words)


def _least(build: Build, values: Values, amps: float | None) -> str:
    """The smallest metric section that carries a current for good as the cable lies; a line where nothing is known."""
    if amps is None or not known(build, "ambient_temperature", "insulation_limit", "cable_lies"):
        return BLANK
    carries = conductor.ampacity(
        conductor.sizes(), values["cable_lies"], values["ambient_temperature"], values["insulation_limit"]
    )
    size = conductor.smallest_size([bool(most >= amps) for most in np.asarray(carries)])
    return f"{units.show(size, 'mm**2')} or more" if size else "two side by side"


def runs(build: Build, values: Values) -> list[tuple[str, str, str, str, str, str]]:
    """Every run of wire: from where to where, current, section, length, fuse, colour."""

    def value_of(node: str) -> float | None:
        return float(values[node]) if known(build, node) else None

    def t(node: str, unit: str) -> str:
        return told(build, values, node, unit)

    phase = value_of("phase_current_limit")
    lead = None if phase is None else float(np.sqrt(2.0 / 3.0) * phase)
    drain, volts = value_of("field_drain"), value_of("voltage_min")
    feed = None if drain is None or not volts else drain / volts
    field = value_of("field_current")

    def amps(value: float | None) -> str:
        return f"{BLANK} A" if value is None else units.show(value, "A")

    main = value_of("greatest_pack_current")
    return [
        (
            "pack + to main fuse",
            amps(main),
            t("cross_section", "mm**2"),
            "a hand",
            "none: keep it short",
            BLANK,
        ),
        (
            "fuse, switch, controller, back to −",
            amps(main),
            t("cross_section", "mm**2"),
            t("loop_length", "m"),
            t("fuse_rating", "A"),
            BLANK,
        ),
        (
            "controller to machine, three leads",
            amps(lead),
            _least(build, values, lead),
            BLANK,
            "controller's limit",
            BLANK,
        ),
        (
            "behind the main fuse to the field supply",
            amps(feed),
            _least(build, values, feed),
            BLANK,
            f"{BLANK} A",
            BLANK,
        ),
        (
            "field supply to brushes",
            amps(field),
            _least(build, values, field),
            BLANK,
            "supply's limit",
            BLANK,
        ),
        (
            "precharge round the switch",
            amps(
                float(values["voltage_full"]) / float(values["precharge_resistor"])
                if known(build, "precharge_resistor", "voltage_full")
                else None
            ),
            "1 mm² or more",
            BLANK,
            "1 to 2 A slow, DC",
            BLANK,
        ),
        (
            "charger's lead",
            t("charger_current", "A"),
            t("charger_lead_section", "mm**2"),
            BLANK,
            t("charger_fuse", "A"),
            BLANK,
        ),
        (
            "bleed across the bus",
            amps(
                float(values["voltage_full"]) / float(values["bleed_resistor"])
                if known(build, "bleed_resistor", "voltage_full")
                else None
            ),
            SIGNAL,
            "short",
            "1 A, DC",
            BLANK,
        ),
        (
            "protection's sense wires",
            "signals",
            "the board's own",
            BLANK,
            "the board's",
            BLANK,
        ),
        (
            "throttle, brake, inlet, stop, sensors",
            "signals",
            SIGNAL,
            BLANK,
            "2 to 3 A, DC",
            BLANK,
        ),
    ]


def body(sheet: Sheet, source: str, today: str) -> str:
    """The circuit and the wire list of a build as HTML."""
    build = Build.of([(source, sheet.entries)])
    values = build.nominal()
    head = ("Run", "Current", "Section", "Length", "Fuse", "Colour by local code")
    return (
        f'<div class="ta-circuit">{render.headed("Power circuit", sheet.name, source, today)}'
        + on_top(verdict.judge(sheet, source), "circuit", MOST_NAMED)
        + '<p class="ta-warn"><strong>Pack unplugged, bus emptied and measured, before a hand goes in. '
        f"{CODES}</strong></p>"
        f'<figure class="ta-figure">{_drawing(build, values)}</figure>'
        + render.table("Wire list", head, runs(build, values), "Power circuit")
        + '<p class="ta-sign">Drawn as built by: <span></span> Date: <span></span></p></div>'
    )

"""Where the weight is, by bathroom scales."""

from __future__ import annotations

from calc.build import Values
from calc.errors import InputError, Problem
from calc.fields import FIELDS
from calc.figures.handling import blocks
from calc.findings import Finding
from calc.graph import step
from calc.spec import Calculator, Column, Report, Result
from calc.told.handling import weighed_apart
from calc.units import show, show_spread
from calc.vehicle import weighing

ROUGH = 0.15  # of the height; more than this is worth a higher block (common practice, no source)


def _rows(v: Values) -> list[dict[str, float]]:
    return [
        {"block": block, "front": front, "rear": rear, "share": front / (front + rear)}
        for block, front, rear in v["cog_weighing"]
    ]


def _line(v: Values) -> tuple[float, float]:
    """Share in front on the level, and the share that the height found moves to the rear on the highest block."""
    base, block = float(v["wheelbase"]), max(row[0] for row in v["cog_weighing"])
    above = float(v["weighed_height"]) - float(v["wheel_diameter"]) / 2.0
    return float(v["weighed_axle"]) / base, above * block / (base * (base**2 - block**2) ** 0.5)


def _told(v: Values) -> None:
    """Refuse a block as high as the axles are apart: it can't have stood on that."""
    for number, (block, _, _) in enumerate(v["cog_weighing"], 1):
        if block >= 0.5 * float(v["wheelbase"]):
            raise InputError(
                [
                    Problem(
                        "cog_weighing",
                        FIELDS["cog_weighing"].label,
                        f"row {number}: a block of {show(block, 'mm')} under a wheelbase of "
                        f"{show(v['wheelbase'], 'mm')} "
                        "stands it steeper than it is safe to. Use 150 to 300 mm, and enter the block's own height.",
                    )
                ]
            )


def _weighing(v: Values) -> Report:
    _told(v)
    axle, height = float(v["weighed_axle"]), float(v["weighed_height"])
    by_axle, by_height = float(v["cog_axle_spread"]), float(v["cog_height_spread"])
    found = weighed_apart(v)
    if by_height > ROUGH:
        found.append(
            Finding(
                "caution",
                f"The height is known within {show(by_height, 'percent')} only: the scales see a small change.",
                "A higher block, up to 300 mm, finer scales, or more rows. Chocks and helpers either side.",
            )
        )
    low = min(row[0] for row in weighing.raised_rows(v["cog_weighing"]))
    if low < weighing.LOW_BLOCK:
        found.append(
            Finding(
                "caution",
                f"A block of {show(low, 'mm')} shifts hardly any weight. Is it in millimetres? 20 cm is 200.",
                "Enter its height in millimetres, or take a block of 150 to 300 mm.",
            )
        )
    elif by_height <= ROUGH:
        found.append(Finding("ok", "Good enough to judge bends and slopes with."))
    if height < float(v["wheel_diameter"]) / 2.0:
        found.append(
            Finding(
                "caution",
                "That lies below the axles, which is rare.",
                "Were the brakes off, and the springs blocked?",
            )
        )
    found.append(
        Finding(
            "caution",
            "A rider who leans, a spring that gives or a brake that holds spoils the reading.",
            "Springs blocked, brakes off, sitting still. Somebody at each side: raised, it rolls and tips.",
        )
    )
    return Report(
        show_spread(height, by_height, "mm"),
        f"above the ground, and {show_spread(axle, by_axle, 'mm')} in front of the rear axle",
        f"{show(v['weighed_mass'], 'kg')} stood on the scales. With the front raised, weight moves to the rear: "
        "the more, "
        "the higher it is.",
        tuple(found),
        (lambda uid: blocks(uid, [(row["block"], row["share"]) for row in _rows(v)], *_line(v)),),
    )


COG_WEIGHING = Calculator(
    id="cog-weighing",
    title="Centre of gravity by bathroom scales",
    chapter="vehicle",
    question="How high and how far forward is the weight?",
    asks=("cog_weighing", "wheelbase", "wheel_diameter", "scale_error"),
    gives=(
        Result("cog_from_axle", "Centre of gravity in front of the rear axle", "mm", "weighed_axle"),
        Result("cog_height", "Height of the centre of gravity", "mm", "weighed_height"),
        Result("axle_spread", "The first within", "percent", "cog_axle_spread"),
        Result("height_spread", "The height within", "percent", "cog_height_spread"),
        Result("weighed_mass", "Mass on the scales", "kg"),
        Result(
            "rows",
            "Row by row",
            columns=(
                Column("block", "Block", "mm"),
                Column("front", "Front", "kg"),
                Column("rear", "Rear", "kg"),
                Column("share", "In front", "percent"),
            ),
            made=_rows,
        ),
    ),
    rules={
        "weighed_axle": step(weighing.cog_from_axle),
        "weighed_height": step(weighing.cog_height),
    },
    report=_weighing,
    reads=("cog_weighing",),
    optional=("total_mass",),
)

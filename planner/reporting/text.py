"""The data of a report for reading: short lines, units beside the numbers."""

from __future__ import annotations

from typing import Any

from planner.reporting.adjustment import (
    addition_lines,
    given_lines,
    measured_lines,
    seeming_lines,
    stillness_lines,
    trial_lines,
)
from planner.reporting.alcohol import alcohol_lines
from planner.reporting.feeding import feeding_lines, warmth_lines
from planner.reporting.ingredients import recipe_lines
from planner.reporting.recipe import plan_lines
from planner.reporting.verdict import verdict_lines


def _said(value: Any, digits: int) -> str:
    if isinstance(value, dict):
        return f"{value['typical']:.{digits}f} ({value['low']:.{digits}f} to {value['high']:.{digits}f})"
    return "-" if value is None else f"{value:.{digits}f}"


_LABELS: tuple[tuple[str, str, str, int], ...] = (
    ("volume_l", "volume", "L", 1),
    ("gravity_sg20", "gravity", "", 3),
    ("dry_gravity_sg20", "gravity if dry", "", 3),
    ("alcohol_pct_vol", "alcohol", "% vol", 1),
    ("brix", "gravity", "°Brix", 1),
    ("fermentable_sugar_g_per_l", "fermentable sugar", "g/L", 0),
    ("sugar_left_g_per_l", "sugar left", "g/L", 0),
    ("acid_g_per_l_tartaric", "acid, as tartaric", "g/L", 1),
    ("nitrogen_mg_per_l", "nitrogen for yeast", "mg/L", 0),
    ("ph", "pH, estimated", "", 1),
    ("sweetness_g_per_l_sucrose", "sweetness, as sucrose", "g/L", 0),
    ("body_mpa_s", "body", "mPa·s", 2),
    ("day", "stops by day", "", 0),
)


def _block(title: str, data: dict[str, Any] | None) -> list[str]:
    if data is None:
        return []
    rows = [
        f"  {label if key not in data.get('measured', ()) else 'pH, measured':<22} {_said(data[key], digits)} {unit}".rstrip()
        for key, label, unit, digits in _LABELS
        if key in data
    ]
    return ["", title, *rows]


def as_text(data: dict[str, Any]) -> str:
    """The whole report as lines of text.

    Parameters
    ----------
    data : dict
        What `as_data` gave. [-]
    """
    lines = [data["name"], "=" * len(data["name"]), data["headline"], f"Next: {data['next']}"]
    lines += recipe_lines(data["recipe"], data["plan"])
    lines += _block("Must", data["must"])
    lines += feeding_lines(data["feeding"])
    lines += plan_lines(data["plan"])
    lines += _block("Expected finish", data["finish"])
    if data["finish"]:
        lines += ["  what makes that gravity, in points of 0.001:"]
        lines += [f"    {_said(part['gravity_points'], 1):>24}  {part['name']}" for part in data["finish"]["budget"]]
    if data["curve"]:
        lines += ["", "Expected course", "   day   gravity   % vol  sugar g/L    °C"]
        step = max(1, len(data["curve"]) // 20)
        lines += [
            f"  {row['day']:4.0f}     {row['gravity_sg20']:.3f}  {row['alcohol_pct_vol']:6.1f}  {row['sugar_g_per_l']:9.0f}"
            f"  {row['temperature_c']:4.0f}"
            for row in data["curve"][::step]
        ]
    lines += warmth_lines(data["warmth"])
    lines += [f"  feed {feed['mass_g']:.3g} g of {feed['name']} on day {feed['day']:.1f}" for feed in data["feeds"]]
    lines += [
        f"  add {row['mass_kg']:.3g} kg of {row['name']} on day {row['day']:.1f}"
        for row in data["additions_while_it_works"]
    ]
    if data["log"]:
        lines += ["", "Log", "   day   read               °C  at 20 °C  % vol    sugar g/L  note"]
        lines += [_log_line(row) for row in data["log"]]
    lines += alcohol_lines(data["alcohol_so_far"])
    lines += verdict_lines(data["verdict"], _said)
    mead = data["adjustment"]
    if mead:
        lines += _block(f"Mead before additions (rests on the {mead['rests_on']})", mead["before"])
        lines += seeming_lines(mead["seems_before"])
        lines += measured_lines(mead)
        lines += addition_lines(mead)
        lines += given_lines(mead)
        if mead["additions"]:
            lines += _block("Mead after additions", mead["after"])
            lines += seeming_lines(mead["seems_after"])
        lines += trial_lines(mead)
        lines += stillness_lines(mead)
    if data["tastings"]:
        lines += [
            "",
            "Tastings",
            *(f"  {(row['at'] or '')[:10]}  {_tasted(row)}{_in_bottle(row)}" for row in data["tastings"]),
        ]
    if data["blind_tests"]:
        lines += [
            "",
            "Blind tests",
            *(f"  {(row['at'] or '')[:10]}  {row['question']} {row['text']}" for row in data["blind_tests"]),
        ]
    if data["findings"]:
        lines += ["", "Findings", *(f"  {row['level']:<8} {row['text']}" for row in data["findings"])]
    return "\n".join(lines) + "\n"


def _log_line(row: dict[str, Any]) -> str:
    day = f"{row['day']:5.1f}" if row["day"] is not None else "    ?"
    mark = " (excluded)" if row["excluded"] else ""
    warm = "    " if row["temperature_c"] is None else f"{row['temperature_c']:4.1f}"
    strong = "    –" if row["alcohol_pct_vol"] is None else f"{row['alcohol_pct_vol']:5.1f}"
    meant = 28 * " " if row["gravity_sg20"] is None else (
        f"{row['gravity_sg20']:8.3f}  {strong}  {_told(row)}"
    )  # fmt: skip
    told = "; ".join(part for part in (row.get("name"), row["note"]) if part)
    return f" {day}   {_read(row):<15}  {warm}  {meant}  {told}{mark}".rstrip()


_DONE = {"pitch": "pitched", "feed": "fed", "racking": "racked", "stirring": "stirred", "dose": "dosed"}
"""What was done, in the words of the log."""


def _told(row: dict[str, Any]) -> str:
    """The range of the sugar in its column, or the room for it where none is told."""
    if row["sugar_g_per_l"] is None:
        return 11 * " "
    low, high = f"{row['sugar_low_g_per_l']:.0f}", f"{row['sugar_high_g_per_l']:.0f}"
    return f"{low if low == high else f'{low} to {high}':>11}"


def _tasted(tasting: dict[str, Any]) -> str:
    """Marks and note of a tasting."""
    return " ".join(part for part in (tasting["marked"], tasting["note"]) if part)


def _in_bottle(tasting: dict[str, Any]) -> str:
    days = tasting["days_in_bottle"]
    return "" if days is None else f" ({days:.0f} days in the bottle)"


def _read(row: dict[str, Any]) -> str:
    """An entry of the log in a word and a figure, as it was read."""
    if row["indicated_gravity"] is not None:
        return f"{row['indicated_gravity']:.4f}".removesuffix("0")
    if "indicated_brix" in row:
        return f"{row['indicated_brix']:.1f} °Bx refr."
    if "lost_g" in row:
        return f"-{row['lost_g']:.0f} g"
    if "ph" in row:
        return f"pH {row['ph']:.2f}"
    if "titratable_acid_g_per_l" in row:
        return f"TA {row['titratable_acid_g_per_l']:.1f} g/L"
    if "volume_left_l" in row:
        return f"{_DONE.get(row['kind'], row['kind'])} {row['volume_left_l']:.4g} L"
    if "mass_g" in row:
        return f"{_DONE.get(row['kind'], row['kind'])} {row['mass_g']:.4g} g"
    if row.get("bottles") is not None:
        size = f" of {row['bottle_size_ml']:.0f} mL" if row["bottle_size_ml"] else ""
        return f"bottled {row['bottles']}{size}"
    if row["kind"] == "sugar":
        below = "below_g_per_l" in row
        return f"sugar {'< ' if below else ''}{row['below_g_per_l' if below else 'tested_sugar_g_per_l']:g} g/L"
    return _DONE.get(row["kind"], str(row["kind"]))

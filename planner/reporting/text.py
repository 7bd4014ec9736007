"""The data of a report for reading: short lines, units beside the numbers."""

from __future__ import annotations

from typing import Any

from planner.document.batch import What
from planner.document.reading_kinds import EVENTS
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
from planner.reporting.said import CELSIUS, Said
from planner.reporting.verdict import verdict_lines
from planner.wording.figures import METRIC, Reader
from planner.wording.phrases import in_a_sentence

_LABELS: tuple[tuple[str, str, str, float], ...] = (
    ("volume_l", "volume", "volume", 1e-3),
    ("gravity_sg20", "gravity", "gravity", 1.0),
    ("dry_gravity_sg20", "gravity if dry", "gravity", 1.0),
    ("alcohol_pct_vol", "alcohol", "alcohol", 0.01),
    ("fermentable_sugar_g_per_l", "fermentable sugar", "concentration", 1.0),
    ("sugar_left_g_per_l", "sugar left", "concentration", 1.0),
    ("acid_g_per_l_tartaric", "acid, as tartaric", "concentration", 1.0),
    ("nitrogen_mg_per_l", "nitrogen for yeast", "trace", 1e-3),
    ("ph", "pH, estimated", "ph", 1.0),
    ("sweetness_g_per_l_sucrose", "sweetness, as sucrose", "concentration", 1.0),
    ("day", "stops by day", "day", 1.0),
)


def _block(title: str, data: dict[str, Any] | None, said: Said) -> list[str]:
    if data is None:
        return []
    rows = [
        f"  {label if key not in data.get('measured', ()) else 'pH, measured':<22} {said(kind, data[key], factor)}"
        for key, label, kind, factor in _LABELS
        if key in data
    ]
    if "body_mpa_s" in data:
        rows.append(f"  {'body':<22} {said.fixed(data['body_mpa_s'], 2, 'mPa·s')}")
    return ["", title, *rows]


def _course(curve: list[dict[str, Any]], said: Said) -> list[str]:
    """The expected course on some twenty days."""
    scale = "°Bx" if said.reader.gravity_scale == "brix" else "gravity"
    lines = ["", "Expected course", f"   day  {scale:>8}   % vol  sugar g/L    {said.degree}"]
    return lines + [
        f"  {said.column(row['day'], 0, 4)}  {said.gravity(row['gravity_sg20'], 8)}  {said.column(row['alcohol_pct_vol'], 1, 6)}"
        f"  {said.column(row['sugar_g_per_l'], 0, 9)}  {said.degrees(row['temperature_c'], 0, 4)}"
        for row in curve[:: max(1, len(curve) // 20)]
    ]


def as_text(data: dict[str, Any], reader: Reader = METRIC) -> str:
    """The whole report as lines of text."""
    said = Said(reader)
    lines = [data["name"], "=" * len(data["name"]), data["headline"], f"Next: {data['next']}"]
    lines += recipe_lines(data["recipe"], data["plan"], said)
    lines += _block("Must", data["must"], said)
    lines += feeding_lines(data["feeding"], said)
    lines += plan_lines(data["plan"], said)
    lines += _block("Expected finish", data["finish"], said)
    if data["finish"]:
        lines += ["  what makes that gravity, in points of 0.001:"]
        lines += [
            f"    {said.fixed(part['gravity_points'], 1):>24}  {part['name']}" for part in data["finish"]["budget"]
        ]
    if data["curve"]:
        lines += _course(data["curve"], said)
    lines += warmth_lines(data["warmth"], said)
    lines += [
        f"  feed {said('mass', feed['mass_g'], 1e-3)} of {in_a_sentence(feed['name'])} on day {said('day', feed['day'])}"
        for feed in data["feeds"]
    ]
    lines += [
        f"  add {said('mass', row['mass_kg'])} of {in_a_sentence(row['name'])} on day {said('day', row['day'])}"
        for row in data["additions_while_it_works"]
    ]
    if data["log"]:
        warm = f"at {said('temperature', 20.0 + CELSIUS)}"
        lines += ["", "Log", f"   day   read               {said.degree}  {warm}  % vol    sugar g/L  note"]
        lines += [_log_line(row, said) for row in data["log"]]
    lines += alcohol_lines(data["alcohol_so_far"])
    lines += learning_lines(data)
    lines += verdict_lines(data["verdict"], said)
    mead = data["adjustment"]
    if mead:
        lines += _block(f"Mead before additions (by the {mead['rests_on']})", mead["before"], said)
        lines += seeming_lines(mead["seems_before"])
        lines += measured_lines(mead, said)
        lines += addition_lines(mead, said)
        lines += given_lines(mead, said)
        if mead["additions"]:
            lines += _block("Mead after additions", mead["after"], said)
            lines += seeming_lines(mead["seems_after"])
        lines += trial_lines(mead, said)
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
        lines += ["", "Doubts and cautions", *(f"  {row['level']:<8} {row['text']}" for row in data["findings"])]
    return "\n".join(lines) + "\n"


def _log_line(row: dict[str, Any], said: Said) -> str:
    day = "    ?" if row["day"] is None else said.column(row["day"], 1, 5)
    mark = " (excluded)" if row["excluded"] else ""
    strong = "    –" if row["alcohol_pct_vol"] is None else said.column(row["alcohol_pct_vol"], 1, 5)
    meant = 28 * " " if row["gravity_sg20"] is None else (
        f"{said.gravity(row['gravity_sg20'], 8)}  {strong}  {_told(row, said)}"
    )  # fmt: skip
    told = "; ".join(part for part in (row.get("name"), row["note"]) if part)
    warm = said.degrees(row["temperature_c"], 1, 4)
    return f" {day}   {_read(row, said):<15}  {warm}  {meant}  {told}{mark}".rstrip()


def learning_lines(data: dict[str, Any]) -> list[str]:
    """What earlier batches taught, and what is worth measuring."""
    learnt, worth, lines = data["learning"], data["worth_measuring"], list[str]()
    if learnt is not None:
        names = [f"{one['name']}{' (left out)' if one['left_out'] else ''}" for one in learnt["batches"]]
        lines += ["", "Learnt from earlier batches", *(f"  {text}" for text in learnt["text"])]
        lines += [f"  from: {'; '.join(names)}"] if names else []
    return lines + (["", f"Worth measuring: {worth['text']}"] if worth is not None else [])


_DONE = {what.value: event.word for what, event in EVENTS.items() if what is not What.TEMPERATURE}
"""What was done, in the words of the log; a temperature has one word, whether set or read."""


def _told(row: dict[str, Any], said: Said) -> str:
    """The range of the sugar in its column, or the room for it where none is told."""
    if row["sugar_g_per_l"] is None:
        return 11 * " "
    low, high = (said.fixed(row[end], 0) for end in ("sugar_low_g_per_l", "sugar_high_g_per_l"))
    return f"{low if low == high else f'{low} to {high}':>11}"


def _tasted(tasting: dict[str, Any]) -> str:
    """Marks and note of a tasting."""
    return " ".join(part for part in (tasting["marked"], tasting["note"]) if part)


def _in_bottle(tasting: dict[str, Any]) -> str:
    days = tasting["days_in_bottle"]
    return "" if days is None else f" ({days:.0f} days in the bottle)"


def _read(row: dict[str, Any], said: Said) -> str:
    """An entry of the log in a word and a figure, as it was read."""
    if row["indicated_gravity"] is not None:
        if said.reader.gravity_scale == "brix":
            return said("gravity", row["indicated_gravity"])
        return said.fixed(row["indicated_gravity"], 4).removesuffix("0")
    if "indicated_brix" in row:
        return f"{said('brix', row['indicated_brix'])} refr."
    if "lost_g" in row:
        return f"-{said('mass', row['lost_g'], 1e-3)}"
    if "ph" in row:
        return f"pH {said.fixed(row['ph'], 2)}"
    if "titratable_acid_g_per_l" in row:
        return f"TA {said.trimmed(row['titratable_acid_g_per_l'], 1, 'g/L')}"
    if "volume_l" in row:
        return f"volume {said('volume', row['volume_l'], 1e-3)}"
    if "volume_left_l" in row:
        return f"{_DONE.get(row['kind'], row['kind'])} {said('volume', row['volume_left_l'], 1e-3)}"
    if "mass_g" in row:
        return f"{_DONE.get(row['kind'], row['kind'])} {said('mass', row['mass_g'], 1e-3)}"
    if row.get("bottles") is not None:
        size = f" of {said('volume', row['bottle_size_ml'], 1e-6)}" if row["bottle_size_ml"] else ""
        return f"bottled {row['bottles']}{size}"
    if row["kind"] == "sugar":
        below = "below_g_per_l" in row
        sugar = said("concentration", row["below_g_per_l" if below else "tested_sugar_g_per_l"])
        return f"sugar {'< ' if below else ''}{sugar}"
    return _DONE.get(row["kind"], str(row["kind"]))

"""Readings from tables of every kind: what is read, what is refused and why, and that nothing is lost on the way back."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_batches import gravities, numbers, offsets, temperatures

from planner.document import edits
from planner.document.batch import HoneyLine, HydrometerReading, SugarReading, WeightReading, new_batch
from planner.evaluation.outcome import evaluate
from planner.importing.cells import day_order, moment, number
from planner.importing.reading import (
    ImportRefused,
    ImportStopped,
    Mapping,
    Meaning,
    export_csv,
    guess,
    new_only,
    read_table,
    readings,
    series_names,
)
from planner.importing.table import LARGEST
from planner.reference.catalogue import catalogue

DATA = Path(__file__).parents[1] / "data" / "import"
SUMMER = timezone(timedelta(hours=2))
REAL = Path(__file__).parents[3] / "shared" / "reference" / "ferments"

needs_real_ferments = pytest.mark.skipif(
    not REAL.is_dir(), reason="the published fermentations are not beside this checkout; they are not part of it"
)


def taken(data: bytes | str, change=None, **options):
    """What the first guess takes from a table, after a change of the mapping."""
    table = read_table(data.encode() if isinstance(data, str) else data)
    mapping = guess(table)
    return readings(table, change(mapping, table) if change else mapping, SUMMER, **options)


def gravities_of(data: bytes | str) -> list[float]:
    return [reading.gravity for reading in taken(data).readings]


def texts(imported) -> str:
    return "\n".join(notice.text for notice in imported.notices)


# --- from bytes to a table


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_that_a_table_is_the_same_in_every_encoding_and_with_every_separator(encoding, separator, end):
    rows = ["Day,Gravity,Note", "0,1.090,süß", "1.5,1.080,", "3,1.064,Hefe ½"]
    table = read_table(end.join(row.replace(",", separator) for row in rows).encode(encoding))
    assert table.headings == ("Day", "Gravity", "Note")
    assert table.rows == (("0", "1.090", "süß"), ("1.5", "1.080", ""), ("3", "1.064", "Hefe ½"))
    assert table.lines == (2, 3, 4)
    assert table.separator == separator


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "The file is empty"),
        (b"\xef\xbb\xbf\r\n \r\n", "The file is empty"),
        (b"PK\x03\x04 and so on", "workbook"),
        (b"\x89\x00\x01\x02\xff\x10\x11" * 40, "not text"),
        (bytes(range(128, 160)) * 20, "not text"),
        (b"1.085\n1.080\n1.070\n", "only one column"),
        (b"a letter, in which\nnothing is measured\n", "Choose which column|no rows|one column"),
        (b"Day;Gravity\n", "no rows below"),
        (b'0;1.085;"never closed\n1;1.080;\n2;1.070;\n', "line 1 is never closed"),
        (b"Date,SG\n14.08.2026,1,085\n15.08.2026,1,081\n", "2 headings, but most rows have 3 cells.*semicolons"),
        (b"14.08.2026,1,085\n15.08.2026,1,081\n16.08.2026,1,070\n", "fall apart at their commas.*semicolons"),
    ],
    ids=range(11),
)
def test_that_what_is_no_table_of_readings_is_refused_with_the_reason(data, reason):
    with pytest.raises(ImportRefused, match=reason):
        taken(data)


def test_that_a_file_beyond_the_limit_is_refused_before_it_is_read():
    with pytest.raises(ImportRefused, match="larger than 200 MB"):
        read_table(bytes(LARGEST + 1))


def test_that_reading_stops_when_nobody_wants_the_table_any_more():
    with pytest.raises(ImportStopped):
        read_table(b"0;1.085\n1;1.080\n", stop=lambda: True)


def test_that_lines_are_counted_as_in_the_file_across_notes_of_several_lines_and_empty_rows():
    table = read_table(b'Day,SG,Note\r\n0,1.090,"two\r\nlines"\r\n\r\n1,1.080,\r\n')
    assert table.lines == (2, 5)
    assert table.rows[0][2] == "two\r\nlines"


def test_that_a_spreadsheets_line_naming_the_separator_is_heeded():
    table = read_table(b"sep=;\r\nDay;SG\r\n0;1,090\r\n1;1,081\r\n")
    assert table.separator == ";"
    assert table.lines == (3, 4)


def test_that_semicolons_in_notes_do_not_split_a_table_with_commas():
    assert gravities_of("Day,SG,Note\n0,1.090,sweet; dark\n1,1.080,foam; warm\n2,1.070,calm; dark\n") == [
        1.09,
        1.08,
        1.07,
    ]


def test_that_a_table_without_headings_has_its_columns_numbered():
    table = read_table(b"0;1,090;18\n1;1,081;19\n2;1,072;19\n")
    assert table.headings == ("Column 1", "Column 2", "Column 3")
    assert guess(table).meanings == (Meaning.DAY, Meaning.GRAVITY, Meaning.CELSIUS)


# --- cells


@pytest.mark.parametrize(
    ("cell", "with_point", "with_comma"),
    [
        ("1.060", 1.06, 1060.0),
        ("1,060", 1060.0, 1.06),
        ("0,998", 0.998, 0.998),
        ("18,5", 18.5, 18.5),
        ("18.5", 18.5, 18.5),
        ("1.234,5", 1234.5, 1234.5),
        ("1,234.5", 1234.5, 1234.5),
        ("1 060", 1060.0, 1060.0),
        ("1'060", 1060.0, 1060.0),
        ("\u22120.7", -0.7, -0.7),
        ("1e-05", 1e-5, 1e-5),
        ("3 4", None, None),
        ("1,2.5", None, None),
        ("1.2.3", None, None),
        ("nan", None, None),
        ("inf", None, None),
        ("1_0", None, None),
        ("", None, None),
    ],
)
def test_that_a_number_is_read_as_its_signs_allow(cell, with_point, with_comma):
    for decimal, expected in ((".", with_point), (",", with_comma)):
        found = number(cell, decimal)
        assert (found.value if found else None) == expected


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e14, max_value=1e14))
def test_that_every_number_python_writes_is_read_back_exactly(value):
    assert number(repr(value), ".").value == value


EVENING = datetime(2026, 8, 14, 19, 30)


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("2026-08-14T19:30", EVENING),
        ("2026-08-14 19:30:00", EVENING),
        ("2026-08-14T19:30+02:00", EVENING.replace(tzinfo=SUMMER)),
        ("2026-08-14 17:30Z", EVENING.replace(tzinfo=SUMMER)),
        ("2026/08/14 19:30", EVENING),
        ("14.08.2026 19:30", EVENING),
        ("14.8.26, 19:30", EVENING),
        ("14/08/2026 7:30 PM", EVENING),
        ("14 Aug 2026 19:30", EVENING),
        ("14-Aug-26 19:30", EVENING),
        ("Aug 14, 2026 7:30pm", EVENING),
        ("Friday, 14 August 2026, 19h30", EVENING),
        ("14. August 2026 19:30", EVENING),
        ("1786728600", EVENING.replace(tzinfo=SUMMER)),  # seconds since 1970, as `date -u -d @1786728600` tells
        ("1786728600000", EVENING.replace(tzinfo=SUMMER)),
        ("2026-08-14", datetime(2026, 8, 14, 12)),
        ("31.02.2026", None),
        ("14.08.2026 25:00", None),
        ("1.085", None),
        ("20.5", None),
        ("1085", None),
        ("soon", None),
    ],
)
def test_that_a_moment_is_read_as_people_and_instruments_write_it(cell, expected):
    found = moment(cell)
    assert (found.when if found else None) == expected


def test_that_the_order_of_day_and_month_is_known_only_where_the_figures_tell():
    cells = ["13/4/2026", "4/13/2026", "3/4/2026", "4/4/2026", "3.4.2026", "2026-04-03"]
    assert [day_order(cell) for cell in cells] == ["day", "month", "either", "", "", ""]


# --- whole files


def test_that_a_log_with_decimal_commas_a_title_and_a_time_column_is_read():
    imported = taken((DATA / "schlehe-semicolons.csv").read_bytes())
    assert [reading.gravity for reading in imported.readings] == [1.102, 1.098, 1.071, 1.032, 0.998]
    assert imported.readings[0].at == "2026-09-14T19:30:00+02:00"
    assert imported.readings[0].note == "angesetzt, kräftig gerührt"
    assert imported.readings[2].note == "riecht nach Pflaume; schäumt"
    assert imported.readings[0].temperature == pytest.approx(291.65)  # 18.5 + 273.15, SI Brochure
    assert imported.readings[3].at == "2026-09-20T12:00:00+02:00"
    assert [refusal.line for refusal in imported.refused] == [9]
    assert "“trüb” is not a number" in imported.refused[0].text
    assert "1 date without a time of day is taken at noon" in texts(imported)
    assert imported.assumed == 6  # also that of the row without a gravity


def test_that_a_log_with_months_first_points_and_fahrenheit_is_read():
    imported = taken((DATA / "plum-month-first.txt").read_bytes())
    assert [reading.gravity for reading in imported.readings] == [1.098, 1.071, 1.012]
    assert imported.readings[0].at == "2026-09-04T19:30:00+02:00"
    # °F = 1.8 °C + 32, NIST SP 811: 66.2 °F is 19 °C
    assert imported.readings[0].temperature == pytest.approx(273.15 + 19.0)
    assert imported.refused == ()


def test_that_one_of_two_series_on_the_scale_of_brix_is_read_and_the_room_is_not_taken_for_the_must():
    table = read_table((DATA / "two-buckets.tsv").read_bytes())
    mapping = guess(table)
    assert series_names(table, 1) == {"left": 4, "right": 4}
    assert mapping.meanings[1] is Meaning.SERIES
    left = readings(table, mapping, SUMMER)
    assert [reading.day for reading in left.readings] == [0.0, 1.0, 2.0, 3.0]
    # SPS-4 by way of a published table of Plato: 12 P is 1.0484 at 20/20; between 11.9 and 12 lie 0.0004
    assert left.readings[3].gravity == pytest.approx(1.0480, abs=1e-4)
    assert left.readings[3].temperature == pytest.approx(294.15)
    assert "refractometer" in texts(left)


def test_that_densities_with_units_below_the_headings_are_divided_by_that_of_water():
    imported = taken((DATA / "logger-utc.csv").read_bytes())
    # 998.203 kg/m3 is water at 20 °C (ITS-90, Tanaka and others 2001)
    assert imported.readings[0].gravity == pytest.approx(1085.5 / 998.203, abs=1e-5)
    assert [reading.day for reading in imported.readings] == [0.0, 0.25, 0.5, 1.0]


@needs_real_ferments
def test_that_one_series_of_a_published_table_of_nine_is_read_by_its_name():
    table = read_table((REAL / "cabernet_red_must_2022.csv").read_bytes())
    mapping = guess(table)
    by = table.headings.index("Descr")
    assert mapping.meanings[by] is Meaning.SERIES
    assert list(series_names(table, by).values()) == [12, 7, 7] * 3
    imported = readings(table, mapping, SUMMER)
    assert [reading.day for reading in imported.readings] == [float(day) for day in range(12)]
    assert imported.readings[0] == SugarReading(day=0.0, sugar=248.79999999999998, temperature=292.15)
    assert min(reading.sugar for reading in imported.readings) == 0.0
    assert "small negative sugars are taken as zero" in texts(imported)
    assert imported.refused == ()


@needs_real_ferments
def test_that_glucose_and_fructose_of_one_replicate_of_a_published_table_are_added():
    table = read_table((REAL / "agave_glucose_fructose_28C.csv").read_bytes())
    imported = readings(table, guess(table), SUMMER)
    assert [reading.day for reading in imported.readings] == pytest.approx([hours / 24.0 for hours in range(0, 73, 8)])
    assert imported.readings[0].sugar == pytest.approx(14.71 + 107.72)
    assert imported.readings[3].sugar == pytest.approx(1.87 + 11.47)
    assert "2 columns are added" in texts(imported)
    assert len(imported.readings) == 10


# --- scales and slips


@pytest.mark.parametrize("cell", ["2", "0.5", "-1.060", "10600", "n. d.", "1.06 kg"])
def test_that_an_impossible_gravity_is_refused_with_its_line(cell):
    imported = taken(f"Day,SG\n0,1.090\n1,{cell}\n2,1.070\n3,1.060\n4,1.050\n5,1.040\n")
    assert [refusal.line for refusal in imported.refused] == [3]
    assert f"“{cell}”" in imported.refused[0].text
    assert len(imported.readings) == 5


@pytest.mark.parametrize("cell", ["1.060", "1,060", "1060", "1.060 SG", " 1 060"])
def test_that_a_gravity_with_three_decimals_is_the_same_however_its_sign_is_written(cell):
    assert gravities_of(f"Day;SG\n0;1.090\n1;{cell}\n2;1.070\n") == [1.09, 1.06, 1.07]


def test_that_gravities_on_several_scales_are_read_each_on_its_own_and_the_user_is_told():
    imported = taken("Day,SG\n0,1.090\n1,1081\n2,20 Bx\n3,1.060\n")
    # SPS-4: 20 % sucrose is 1.08292 at 20/20
    assert [reading.gravity for reading in imported.readings] == pytest.approx([1.09, 1.081, 1.08292, 1.06], abs=2e-5)
    assert "more than one scale" in texts(imported)


def test_that_a_gravity_among_brix_is_refused_and_a_brix_among_gravities_too():
    among_brix = taken("Day,Brix\n0,22.5\n1,1.070\n2,15.2\n3,9.9\n4,8.1\n5,6.0\n6,5.5\n")
    assert "looks like a specific gravity" in among_brix.refused[0].text
    among_gravities = taken("Day,SG\n0,1.090\n1,20.5\n2,1.070\n3,1.050\n4,1.040\n5,1.030\n")
    assert "If it is °Brix" in among_gravities.refused[0].text


def test_that_brix_with_three_decimals_throughout_stay_brix_below_two():
    imported = taken("Day,Brix\n0,22.512\n1,15.070\n2,5.204\n3,1.100\n")
    assert imported.refused == ()
    # SPS-4: one °Brix is about 1.0039
    assert imported.readings[3].gravity == pytest.approx(1.0043, abs=2e-4)


def test_that_points_above_water_are_read_as_such_and_shown():
    imported = taken("Day,Points\n0,92\n1,81.5\n2,60\n3,-2\n")
    assert [reading.gravity for reading in imported.readings] == pytest.approx([1.092, 1.0815, 1.06, 0.998])
    assert "“92” is read as 1.092" in texts(imported)


def test_that_fahrenheit_in_a_column_of_celsius_is_noticed_and_can_be_mended():
    table = read_table(b"Day,SG,Temp [C]\n0,1.090,64\n1,1.080,68\n2,1.070,58\n")
    mapping = guess(table)
    assert mapping.meanings[2] is Meaning.CELSIUS
    imported = readings(table, mapping, SUMMER)
    assert len(imported.refused) == 2  # 64 and 68 °C are beyond what a batch can hold
    offers = [notice for notice in imported.notices if notice.offer == "Read as °F"]
    mended = readings(table, offers[0].mapping, SUMMER)
    assert mended.refused == ()
    assert mended.readings[1].temperature == pytest.approx(293.15)  # 68 °F is 20 °C, NIST SP 811


def test_that_celsius_in_a_column_of_fahrenheit_is_noticed():
    imported = taken("Day,SG,Temp (F)\n0,1.090,18\n1,1.080,19\n2,1.070,21\n")
    assert [notice.offer for notice in imported.notices] == ["Read as °C"]


def test_that_a_unit_behind_a_temperature_outweighs_the_heading():
    imported = taken("Day,SG,Temp [C]\n0,1.090,18\n1,1.080,68 °F\n2,1.070,21 C\n")
    assert [reading.temperature for reading in imported.readings] == pytest.approx([291.15, 293.15, 294.15])


def test_that_a_comma_before_three_figures_in_a_column_of_sugar_is_offered_both_ways():
    table = read_table(b"Day;Sugar\n0;1,060\n1;1,020\n")
    imported = readings(table, guess(table), SUMMER)
    assert [reading.sugar for reading in imported.readings] == [1.06, 1.02]
    assert imported.notices[0].offer == "Read as 1060"
    assert "between 0 and 1000" in readings(table, imported.notices[0].mapping, SUMMER).refused[0].text


def test_that_small_negative_sugars_are_zero_and_large_ones_refused():
    imported = taken("Day,Sugar\n0,120\n1,-0.4\n2,-40\n3,10\n")
    assert [reading.sugar for reading in imported.readings] == [120.0, 0.0, 10.0]
    assert imported.refused[0].line == 4


def test_that_a_sum_of_sugars_is_refused_where_a_part_is_missing():
    imported = taken("Day,Glucose,Fructose\n0,60,62\n1,,40\n2,5,20\n3,,\n")
    assert [reading.sugar for reading in imported.readings] == [122.0, 25.0]
    assert [refusal.line for refusal in imported.refused] == [3]
    assert "1 row without a gravity or sugar is passed over" in texts(imported)


# --- times


def test_that_ambiguous_dates_are_read_so_that_they_lie_close_and_the_other_way_is_offered():
    days = taken("Date,SG\n01/08/2026,1.090\n02/08/2026,1.085\n05/08/2026,1.060\n")
    assert [reading.at[:10] for reading in days.readings] == ["2026-08-01", "2026-08-02", "2026-08-05"]
    assert "Read the month first" in [notice.offer for notice in days.notices]
    months = taken("Date,SG\n08/01/2026,1.090\n08/02/2026,1.085\n08/05/2026,1.060\n")
    assert [reading.at[:10] for reading in months.readings] == ["2026-08-01", "2026-08-02", "2026-08-05"]


def test_that_one_date_with_a_day_beyond_twelve_decides_for_all():
    imported = taken("Date,SG\n8/1/2026,1.090\n8/2/2026,1.085\n8/14/2026,1.060\n")
    assert [reading.at[:10] for reading in imported.readings] == ["2026-08-01", "2026-08-02", "2026-08-14"]
    assert not [notice for notice in imported.notices if "first" in notice.offer]


def test_that_an_own_offset_stays_and_a_missing_one_is_the_assumed_one():
    imported = taken("Date,SG\n2026-08-14T19:30-05:00,1.090\n2026-08-15 19:30,1.085\n")
    assert [reading.at for reading in imported.readings] == ["2026-08-14T19:30-05:00", "2026-08-15T19:30:00+02:00"]
    assert imported.assumed == 1


def test_that_a_heading_may_state_utc_for_all_its_moments():
    imported = taken("time_utc,SG\n2026-08-14T19:30,1.090\n2026-08-15T19:30,1.085\n")
    assert imported.readings[0].at == "2026-08-14T19:30:00+00:00"
    assert imported.assumed == 0


def test_that_a_message_repeats_only_the_beginning_of_a_long_cell():
    imported = taken(f"Day,SG\n0,1.090\n1,{'x' * 5000}\n2,1.080\n3,1.070\n")
    assert len(imported.refused[0].text) < 100


def test_that_readings_from_the_future_are_noticed_with_the_line_of_the_first():
    now = datetime(2026, 8, 20, tzinfo=SUMMER)
    imported = taken("Date,SG\n2026-08-14T19:30,1.090\n2062-08-15T19:30,1.085\n", now=now)
    assert "1 reading lies in the future, the first on line 3" in texts(imported)


def test_that_rows_out_of_order_are_kept_in_the_order_of_the_file():
    assert gravities_of("Day,SG\n3,1.060\n0,1.090\n1,1.080\n") == [1.06, 1.09, 1.08]


def test_that_days_may_carry_their_word_and_hours_become_days():
    assert [r.day for r in taken("Day,SG\nDay 0,1.090\nDay 3,1.080\n5 d,1.070\n").readings] == [0.0, 3.0, 5.0]
    assert [r.day for r in taken("Hours,SG\n0,1.090\n36,1.080\n48 h,1.070\n").readings] == [0.0, 1.5, 2.0]


@pytest.mark.parametrize("cell", ["5000", "-400", "Mon"])
def test_that_a_day_beyond_what_a_batch_can_hold_is_refused(cell):
    imported = taken(f"Day,SG\n0,1.090\n{cell},1.080\n1,1.070\n2,1.060\n3,1.050\n4,1.04\n")
    assert [refusal.line for refusal in imported.refused] == [3]


def test_that_a_row_without_any_time_is_refused_unless_it_says_undated():
    imported = taken("Date,SG\n2026-08-14 19:30,1.090\n,1.085\nundated,1.080\n2026-08-15 19:30,1.079\n")
    assert [refusal.text for refusal in imported.refused] == ["The row has no date and no day."]
    assert imported.readings[1] == HydrometerReading(gravity=1.08)
    assert "1 reading has no date" in texts(imported)


def test_that_times_that_repeat_are_noticed_as_several_series():
    table = read_table(b"Day,Who,SG\n0,a,1.09\n0,b,1.09\n1,a,1.08\n1,b,1.07\n2,a,1.06\n2,b,1.05\n")
    mapping = guess(table)
    assert mapping.series == "a"
    without = mapping.with_meaning(1, Meaning.IGNORED)
    assert without.series is None
    assert "several batches" in texts(readings(table, without, SUMMER))


# --- notes and rows


def test_that_commas_in_a_note_that_stands_last_need_no_quotes():
    imported = taken("Day,SG,Note\n0,1.090,sweet\n1,1.080,dark, foaming, warm\n2,1.070,\n")
    assert imported.readings[1].note == "dark, foaming, warm"


def test_that_a_row_with_too_many_cells_elsewhere_is_refused():
    imported = taken("Note,Day,SG\nsweet,0,1.090\ndark, foaming,1,1.080\ncalm,2,1.070\nstill,3,1.060\n")
    assert imported.refused[0].line == 3
    assert "4 cells; the table has 3 columns" in imported.refused[0].text
    assert len(imported.readings) == 3


def test_that_a_row_with_gravity_and_sugar_gives_one_reading_of_each():
    imported = taken("Day,SG,Sugar,Note\n0,1.090,190,pitched\n1,1.080,,\n2,1.070,140,\n")
    assert [type(reading) for reading in imported.readings] == [
        HydrometerReading, SugarReading, HydrometerReading, HydrometerReading, SugarReading,
    ]  # fmt: skip
    assert [reading.note for reading in imported.readings] == ["pitched", "", "", "", ""]


def test_that_a_mapping_says_what_is_missing_and_readings_refuse_it():
    table = read_table(b"Day,SG\n0,1.090\n1,1.080\n")
    assert "gravity or the sugar" in Mapping((Meaning.DAY, Meaning.IGNORED)).problem()
    assert "date, the day or the hours" in Mapping((Meaning.IGNORED, Meaning.GRAVITY)).problem()
    assert "More than one" in Mapping((Meaning.BRIX, Meaning.GRAVITY)).problem()
    with pytest.raises(ImportRefused, match="Choose which column"):
        readings(table, Mapping((Meaning.IGNORED, Meaning.GRAVITY)), SUMMER)


def test_that_a_meaning_only_one_column_can_have_is_taken_from_the_other():
    table = read_table(b"Day,SG,Corrected\n0,1.090,1.091\n1,1.080,1.081\n")
    mapping = guess(table)
    assert mapping.column(Meaning.GRAVITY) == 1
    after = mapping.with_meaning(2, Meaning.GRAVITY)
    assert after.meanings == (Meaning.DAY, Meaning.IGNORED, Meaning.GRAVITY)


# --- into the log and back


def test_that_readings_in_the_log_already_are_not_new_whether_dated_by_moment_or_day():
    pitched = edits.change_log(new_batch(), pitched_at="2026-08-14T19:30+02:00")
    imported = taken("Date,SG\n2026-08-14 19:30,1.090\n2026-08-16 19:30,1.080\n2026-08-20 19:30,1.050\n")
    by_moment = edits.add_readings(pitched, HydrometerReading(at="2026-08-14T17:30:20+00:00", gravity=1.09))
    by_day = edits.add_readings(pitched, HydrometerReading(day=2.0, gravity=1.08))
    assert [reading.gravity for reading in new_only(imported, by_moment).readings] == [1.08, 1.05]
    assert [reading.gravity for reading in new_only(imported, by_day).readings] == [1.09, 1.05]
    assert new_only(imported, by_day).lines == (2, 4)
    assert new_only(imported, pitched).readings == imported.readings


def test_that_another_value_kind_or_time_is_a_new_reading_and_a_repeated_row_is_known_only_once():
    batch = edits.add_readings(new_batch(), HydrometerReading(day=1.0, gravity=1.08))
    text = "Day,SG,Sugar\n1,1.080,170\n1,1.081,\n1.01,1.080,\n1,1.080,\n"
    imported = taken(text, lambda mapping, _table: msgspec.structs.replace(mapping, repeats=True))
    assert [r.gravity for r in new_only(imported, batch).readings if isinstance(r, HydrometerReading)] == [
        1.081,
        1.08,
        1.08,
    ]
    assert sum(isinstance(r, SugarReading) for r in new_only(imported, batch).readings) == 1


def test_that_a_second_import_of_a_file_brings_nothing_new():
    imported = taken((DATA / "schlehe-semicolons.csv").read_bytes())
    batch = edits.add_readings(new_batch(), *imported.readings)
    assert new_only(imported, batch).readings == ()


_printable = st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=30) | st.sampled_from(
    ['say "so"', "a, b; c", "line\nline", "line\r\nline", "1,5", " spaced ", "=1+1", "undated", "2026-08-14"]
)
_in_these_times = st.datetimes(datetime(1977, 1, 1), datetime(2076, 1, 1), timezones=offsets).map(datetime.isoformat)


@st.composite
def logged_readings(draw):
    shared = {
        "at": draw(st.none() | _in_these_times),
        "day": draw(st.none() | numbers(-365.0, 3660.0)),
        "temperature": draw(st.none() | temperatures),
        "note": draw(_printable),
        "excluded": draw(st.booleans()),
    }
    if draw(st.booleans()):
        return HydrometerReading(gravity=draw(gravities), **shared)
    return SugarReading(sugar=draw(numbers(0.0, 1000.0)), **shared)


@given(st.lists(logged_readings(), min_size=1, max_size=6))
def test_that_an_exported_log_is_read_back_without_loss(found):
    batch = edits.add_readings(new_batch(), *found)
    imported = taken(export_csv(batch))
    assert imported.refused == ()
    assert imported.readings == batch.log.readings


def test_that_columns_of_what_was_worked_out_are_exported_and_not_taken_for_readings():
    batch = new_batch()
    batch = edits.change_recipe(batch, water=12.0)
    batch = edits.add_readings(batch, SugarReading(day=0.0, sugar=190.0), SugarReading(day=4.0, sugar=80.0, note="fed"))
    shelf = catalogue()
    batch = edits.add_line(batch, "honeys", HoneyLine(key=sorted(shelf.honeys)[0], mass=4.0))
    outcome = evaluate(batch, shelf, members=0)
    text = export_csv(batch, outcome)
    heading, first = text.splitlines()[:2]
    assert "Worked out: gravity at 20 °C" in heading
    assert f"{outcome.log[0].gravity:.3f}" in first
    assert taken(text).readings == batch.log.readings


def test_that_readers_of_american_measures_find_theirs_beside_the_columns_that_are_imported():
    batch = edits.add_readings(
        new_batch(),
        HydrometerReading(day=1.0, gravity=1.08, temperature=293.15),
        WeightReading(day=2.0, lost=0.45359237),
    )
    text = export_csv(batch, units="us")
    heading, first, second = (line.split(",") for line in text.splitlines())
    assert first[heading.index('"Worked out: temperature [°F]"')] == "68.0"
    assert second[heading.index('"Worked out: weight lost [lb]"')] == "1.0"  # NIST Handbook 44, appendix C
    assert not [name for name in heading if "[oz]" in name or "[US fl oz]" in name]  # nothing was given or bottled
    assert taken(text).readings == batch.log.readings


def test_that_an_empty_log_is_exported_as_headings_alone():
    assert export_csv(new_batch()).splitlines() == [
        '"Date and time","Day","Specific gravity","Sugar [g/L]","Temperature [°C]","Note","Left out"'
    ]


def test_that_what_was_imported_can_be_saved():
    imported = taken("Date,SG,Temp,Note\n2026-08-14,1.090,59,x\n14 Aug 2026,1600,-9,y\n2026-08-15,700,10,z\n")
    batch = edits.add_readings(new_batch(), *imported.readings)  # edits refuse what a file cannot hold
    assert len(batch.log.readings) == 3


@given(st.binary(max_size=300) | st.text(max_size=300).map(str.encode))
def test_that_no_bytes_whatever_do_more_than_be_refused(data):
    try:
        imported = taken(data)
    except ImportRefused:
        return
    edits.add_readings(new_batch(), *imported.readings)


@given(
    st.lists(
        st.lists(
            st.sampled_from(["0", "3", "1.085", "1,085", "1060", "20.5", "2026-08-14", "03/04/2026", "19:30", "a", "", "-1",
                             "68 F", "Day", "SG", "Temp", "Sugar", "Note", "yes", "1e9", "99999999999"]),
            min_size=1, max_size=5,
        ), min_size=1, max_size=8,
    ),
    st.lists(st.sampled_from(list(Meaning)), min_size=6, max_size=6),
)  # fmt: skip
def test_that_any_meaning_of_any_column_gives_readings_a_batch_can_hold(rows, meanings):
    try:
        table = read_table("\n".join(";".join(row) for row in rows).encode())
        mapping = Mapping(tuple(meanings[: table.width]))
        imported = readings(table, mapping, SUMMER)
    except ImportRefused:
        return
    edits.add_readings(new_batch(), *imported.readings)
    assert len(imported.lines) == len(imported.readings)


# --- slips


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("10.60", "Is it 1.060?"),
        ("106.05", "Is it 1.0605?"),
        ("2", "If it is °Brix"),
        ("0.5", "such as 1.085."),
        ("9.985", "such as 1.085."),
    ],
)
def test_that_a_slip_of_the_point_is_told_with_what_was_perhaps_meant(cell, told):
    refused = taken(f"day,SG\n0,1.090\n1,{cell}\n2,1.070\n").refused
    assert [refusal.line for refusal in refused] == [3]
    assert refused[0].text.endswith(told) or told in refused[0].text


def test_that_one_fahrenheit_among_celsius_is_offered_to_be_read_as_such():
    data = "day,SG,temp C\n0,1.090,20\n1,1.080,68\n2,1.070,21\n3,1.060,50 C\n4,1.050,21\n"
    table = read_table(data.encode())
    mapping = guess(table)
    first = readings(table, mapping, SUMMER)
    assert [(refusal.line, "Is it 68 °F?" in refusal.text) for refusal in first.refused] == [(3, True)]
    (offer,) = [notice.mapping for notice in first.notices if notice.offer == "Read those as °F"]
    again = readings(table, offer, SUMMER)
    # NIST SP 811: 68 °F is 20 °C; what states its unit stays as it is
    assert [reading.temperature for reading in again.readings] == pytest.approx(
        [293.15, 293.15, 294.15, 323.15, 294.15]
    )
    (back,) = [notice for notice in again.notices if notice.offer == "Read as °C"]
    assert "1 number above 45" in back.text
    assert back.mapping == mapping


def test_that_rows_out_of_order_are_told_and_kept():
    imported = taken("day,SG\n9,1.020\n0,1.090\n3,1.060\n")
    assert [reading.day for reading in imported.readings] == [9.0, 0.0, 3.0]
    assert "not in the order of time" in texts(imported)
    dated = taken("date,SG\n2026-10-09T10:00,1.020\n2026-10-01T10:00,1.090\n2026-10-03T10:00,1.060\n")
    assert "not in the order of time" in texts(dated)
    assert "order" not in texts(taken("day,SG\n0,1.090\n3,1.060\n9,1.020\n"))
    assert "order" not in texts(taken("day,SG\n9,1.020\n3,1.060\n0,1.090\n"))  # the newest first is an order too


def test_that_a_date_without_its_year_is_told_so():
    table = read_table(b"date,SG\n14.08.,1.080\n15 Aug,1.070\n16/8 10:30,1.060\n")
    mapping = Mapping((Meaning.MOMENT, Meaning.GRAVITY))
    assert [refusal.text[-12:] for refusal in readings(table, mapping, SUMMER).refused] == ["has no year."] * 3

"""What may be typed into the log, and that it can be read again as it is written."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from PySide6.QtCore import QLocale

from planner.document.batch import (
    AcidityReading,
    Event,
    HydrometerReading,
    RefractometerReading,
    SensorReading,
    SugarReading,
    TasteReading,
    TitrationReading,
    VolumeReading,
    WarmthReading,
    WeightReading,
    What,
)
from planner.ui.display import Display
from planner.ui.entry import EntryError
from planner.ui.log import entry as log_entry
from planner.ui.log import typed_racking as log_done
from planner.ui.log.entry import KIND_WORDS, kind_of, read_temperature, read_value, reading_of
from planner.ui.log.round_trip import kept
from planner.ui.log.text import described, hint, short_text, value_text
from planner.ui.log.typed_addition import Names
from planner.ui.log.when import When
from planner.units import GravityScale, System

ENGLISH = Display(locale=QLocale("en_GB"))
GERMAN = Display(locale=QLocale("de_DE"))
BRIX = replace(ENGLISH, gravity_scale=GravityScale.BRIX)
US = replace(ENGLISH, system=System.US)
NAMES = Names(
    {"yeast-autolysate": "Yeast autolysate", "diammonium-phosphate": "Diammonium phosphate", "blend": "Blend"},
    {"erythritol": "Erythritol"},
)

POUND, OUNCE = 0.45359237, 0.028349523125  # NIST SP 811, appendix B.8


@pytest.mark.parametrize(
    ("text", "sugar"),
    [
        ("2 %", 20.0),  # grams in 100 mL
        ("0.5%", 5.0),
        ("100 mg/dL", 1.0),
        ("90 mg / dl", 0.9),
        ("5.5 mmol/L", 5.5 * 0.18016),  # C6H12O6: 6 x 12.011 + 12 x 1.008 + 6 x 15.999 g/mol (IUPAC 2021)
        ("12", 12.0),
        ("1 oz/US gal", 7.489),  # NIST SP 811: 28.349523 g in 3.785412 L
    ],
)
def test_that_a_sugar_test_is_taken_in_the_unit_of_its_strip(text, sugar):
    read = read_value(text, ENGLISH, "sugar")
    assert isinstance(read, SugarReading)
    assert read.sugar == pytest.approx(sugar, rel=1e-4)
    below = read_value(f"< {text}", ENGLISH, "sugar")
    assert below.below
    assert below.sugar == read.sugar


def test_that_units_of_sugar_are_told_by_themselves_and_in_another_language():
    assert read_value("100 mg/dL", ENGLISH) == SugarReading(sugar=1.0)
    assert read_value("5 mmol/L ± 1 mmol/L", ENGLISH).doubt == pytest.approx(0.18016, rel=1e-4)
    assert read_value("0,5 %", GERMAN, "sugar").sugar == 5.0


@pytest.mark.parametrize(
    ("text", "told"), [("2 foo", "mg/dL, mmol/L"), ("-2 %", "negative"), ("2000 %", "more sugar than")]
)
def test_that_other_units_are_refused_with_those_that_are_taken(text, told):
    with pytest.raises(EntryError, match=told):
        read_value(text, ENGLISH, "sugar")


def test_that_per_cent_alone_asks_of_what():
    with pytest.raises(EntryError, match="of what"):
        read_value("2 %", ENGLISH)


@pytest.mark.parametrize("text", ["1.050", "1,050", "0.998", " 1.050 "])
def test_that_a_sugar_test_that_reads_like_a_gravity_is_asked_about(text):
    with pytest.raises(EntryError, match="reads like a gravity"):
        read_value(text, ENGLISH, "sugar")


@pytest.mark.parametrize(("text", "display", "celsius"), [
    ("19,5", ENGLISH, 19.5), ("19.5", GERMAN, 19.5), ("19,5 °C", ENGLISH, 19.5), ("64,4", US, 18.0), ("-1,5", ENGLISH, -1.5),
])  # fmt: skip
def test_that_both_decimal_signs_are_tenths_of_a_degree(text, display, celsius):
    assert read_temperature(text, display) == pytest.approx(celsius + 273.15)


def test_that_both_decimal_signs_of_a_temperature_that_no_sample_has_are_refused():
    with pytest.raises(EntryError, match="out of range"):
        read_temperature("95,5", ENGLISH)


@pytest.mark.parametrize(
    ("text", "entry"),
    [
        ("1.050", HydrometerReading(gravity=1.05)),
        ("1,050", HydrometerReading(gravity=1.05)),
        ("1.050 ± 0.002", HydrometerReading(gravity=1.05, doubt=0.002)),
        ("1.050 +/- 0.002", HydrometerReading(gravity=1.05, doubt=0.002)),
        ("sensor 1.050", SensorReading(gravity=1.05)),
        ("20.5 Bx", RefractometerReading(brix=20.5)),
        ("20.5 °Brix ± 0.2", RefractometerReading(brix=20.5, doubt=0.2)),
        ("refractometer 20.5", RefractometerReading(brix=20.5)),
        ("pH 3.4", AcidityReading(ph=3.4)),
        ("3.4 pH", AcidityReading(ph=3.4)),
        ("ph 3.41 ± 0.05", AcidityReading(ph=3.41, doubt=0.05)),
        ("check 1.001 in water", HydrometerReading(gravity=1.001, known=1.0)),
        ("checked hydrometer: 1.049 ± 0.0005 in 1.050", HydrometerReading(gravity=1.049, known=1.05, doubt=0.0005)),
        ("check sensor 1.003 in a gravity of 1.000", SensorReading(gravity=1.003, known=1.0)),
        ("TA 6.5 g/L", TitrationReading(acid=6.5)),
        ("ta 6.5", TitrationReading(acid=6.5)),
        ("acid 6.5 g/L ± 0.5", TitrationReading(acid=6.5, doubt=0.5)),
        ("titratable acidity: 6.5 g/L as tartaric", TitrationReading(acid=6.5)),
        ("TA 0.65 %", TitrationReading(acid=6.5)),
        ("12 g/L", SugarReading(sugar=12.0)),
        ("12 g/L ± 3 g/L", SugarReading(sugar=12.0, doubt=3.0)),
        ("< 2 g/L", SugarReading(sugar=2.0, below=True)),
        ("below 2", SugarReading(sugar=2.0, below=True)),
        ("-1.2 kg", WeightReading(lost=1.2)),
        ("−850 g", WeightReading(lost=0.85)),
        ("18 °C", WarmthReading(temperature=291.15)),
        ("racked", Event(what=What.RACKING)),
        ("racked off the gross lees", Event(what=What.RACKING, note="off the gross lees")),
        ("stirred", Event(what=What.STIRRING)),
        ("pitched", Event(what=What.PITCH)),
        ("stabilised", Event(what=What.STABILISED)),
        ("fed 5 g yeast autolysate", Event(what=What.FEED, mass=0.005, key="yeast-autolysate")),
        ("fed 5 g diam", Event(what=What.FEED, mass=0.005, key="diammonium-phosphate")),
        ("fed 2 g dap", Event(what=What.FEED, mass=0.002, key="diammonium-phosphate")),
        ("fed 2 g of DAP", Event(what=What.FEED, mass=0.002, key="diammonium-phosphate")),
        ("fed 5 g", Event(what=What.FEED, mass=0.005)),
        ("dosed 500 g erythritol", Event(what=What.DOSE, mass=0.5, key="erythritol")),
        ("bottled", Event(what=What.BOTTLED)),
        ("bottled from the tap", Event(what=What.BOTTLED, note="from the tap")),
        ("bottled 24", Event(what=What.BOTTLED, bottles=24)),
        ("bottled 24 × 750 mL", Event(what=What.BOTTLED, bottles=24, size=0.75e-3)),
        ("bottled 24 x 750", Event(what=What.BOTTLED, bottles=24, size=0.75e-3)),
        ("bottled 24 bottles of 75 cL", Event(what=What.BOTTLED, bottles=24, size=0.75e-3)),
        ("bottled 1 bottle", Event(what=What.BOTTLED, bottles=1)),
        ("set to 16 °C", Event(what=What.TEMPERATURE, temperature=289.15)),
        ("taste: still sweet", TasteReading(note="still sweet")),
        ("note: airlock refilled", Event(what=What.NOTE, note="airlock refilled")),
    ],
)
def test_that_the_text_says_what_it_is(text, entry):
    read = read_value(text, ENGLISH, names=NAMES)
    assert type(read) is type(entry)
    for field in entry.__struct_fields__:
        mine, wanted = getattr(read, field), getattr(entry, field)
        assert mine == (pytest.approx(wanted, rel=1e-9) if isinstance(wanted, float) else wanted)


def test_that_brix_are_off_the_stem_for_those_who_read_it_so():
    stem = read_value("20 °Bx", BRIX)
    # OIML R 22 / ICUMSA SPS-4 by way of planner.model: 20 °Bx is 1.0829
    assert isinstance(stem, HydrometerReading)
    assert stem.gravity == pytest.approx(1.0829, abs=1e-4)
    assert read_value("refractometer 20", BRIX) == RefractometerReading(brix=20.0)


@pytest.mark.parametrize(
    ("kind", "text", "entry"),
    [
        ("refractometer", "20.5", RefractometerReading(brix=20.5)),
        ("sensor", "1.050", SensorReading(gravity=1.05)),
        ("sugar", "12", SugarReading(sugar=12.0)),
        ("sugar", "<2", SugarReading(sugar=2.0, below=True)),
        ("weight", "1.2", WeightReading(lost=1.2)),
        ("ph", "3.4", AcidityReading(ph=3.4)),
        ("acid", "6.5", TitrationReading(acid=6.5)),
        ("temperature", "18", WarmthReading(temperature=291.15)),
        ("taste", "racked off too soon", TasteReading(note="racked off too soon")),
        ("feed", "5 g blend", Event(what=What.FEED, mass=0.005, key="blend")),
        ("racking", "", Event(what=What.RACKING)),
        ("hydrometer", "racked", Event(what=What.RACKING)),
    ],
)
def test_that_a_chosen_kind_says_what_a_bare_figure_is(kind, text, entry):
    assert read_value(text, ENGLISH, kind, NAMES) == entry


def test_that_a_refractometer_with_a_scale_of_gravity_is_read_as_brix():
    # OIML R 22: 1.0829 is 20 °Bx
    assert read_value("1.0829", ENGLISH, "refractometer").brix == pytest.approx(20.0, abs=0.02)


def test_that_pounds_and_fahrenheit_are_read_where_they_are_at_home():
    assert read_value("-2 lb 4 oz", US).lost == pytest.approx(2 * POUND + 4 * OUNCE)
    assert read_value("64 °F", US).temperature == pytest.approx((64 - 32) / 1.8 + 273.15)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "gravity such as 1.050"), ("2", "not a specific gravity"), ("0.5", "gravity"), ("1.2 kg", "Write −1.2 kg"),
        ("pH 34", "not a pH"), ("95 Bx", "-2 to 80"), ("80 °C", "out of range"),
        ("fed 5 g sawdust", "none of those"), ("fed 5 L", "mass"), ("set to", "the new temperature"),
        ("< ", "sugar test"), ("check 1.001", "in water"), ("1.050 ± 2", "too wide"), ("2000 g/L", "1000 g/L"), ("TA 60 g/L", "more acid than"), ("TA", "counted as tartaric"),
        ("TA 6 g/L as malic", "not a unit of a titratable acid"), ("three", "gravity"),
        ("banana", "racked, stirred, fed 5 g"),
    ],
)  # fmt: skip
def test_that_what_cannot_be_is_refused_in_words(text, part):
    with pytest.raises(EntryError, match=part.replace(".", r"\.")):
        read_value(text, ENGLISH, names=NAMES)


halves = st.none() | st.floats(0.0005, 0.01)
ENTRIES = st.one_of(
    st.builds(HydrometerReading, gravity=st.floats(0.98, 1.2), doubt=halves),
    st.builds(SensorReading, gravity=st.floats(0.98, 1.2), doubt=halves),
    st.builds(RefractometerReading, brix=st.floats(0.0, 40.0), doubt=halves),
    st.builds(WeightReading, lost=st.floats(0.001, 20.0), doubt=halves),
    st.builds(SugarReading, sugar=st.floats(0.1, 300.0), below=st.booleans(), doubt=halves),
    st.builds(AcidityReading, ph=st.floats(2.5, 5.0), doubt=halves),
    st.builds(TitrationReading, acid=st.floats(0.1, 50.0), doubt=halves),
    st.builds(VolumeReading, volume=st.floats(1e-3, 0.5)),
    st.builds(WarmthReading, temperature=st.floats(275.0, 310.0)),
    st.builds(TasteReading),
    st.builds(Event, what=st.sampled_from([What.RACKING, What.STIRRING, What.STABILISED, What.PITCH, What.NOTE])),
    st.builds(Event, what=st.just(What.FEED), mass=st.floats(0.001, 0.5), key=st.sampled_from(sorted(NAMES.nutrients))),
    st.builds(Event, what=st.just(What.DOSE), mass=st.floats(0.001, 5.0), key=st.just("erythritol")),
    st.builds(Event, what=st.just(What.RACKING), volume=st.floats(1e-3, 0.5)),
    st.builds(
        Event, what=st.just(What.BOTTLED), bottles=st.integers(1, 100_000), size=st.none() | st.floats(1e-4, 0.05)
    ),
    st.builds(Event, what=st.just(What.TEMPERATURE), temperature=st.floats(275.0, 310.0)),
)
DISPLAYS = st.sampled_from([ENGLISH, GERMAN, BRIX, US])
FIELDS = (
    "gravity",
    "brix",
    "lost",
    "sugar",
    "below",
    "ph",
    "acid",
    "mass",
    "key",
    "bottles",
    "size",
    "volume",
    "temperature",
    "doubt",
)


def values_of(entry) -> dict[str, object]:
    return {name: getattr(entry, name) for name in FIELDS if hasattr(entry, name)}


@given(ENTRIES, DISPLAYS)
def test_that_what_is_left_as_it_is_shown_stays_to_the_last_bit(entry, display):
    shown = read_value(value_text(entry, display, NAMES), display, names=NAMES)
    assert kind_of(shown) == kind_of(entry)
    assert values_of(kept(entry, shown, shown)) == values_of(entry)


@given(ENTRIES, DISPLAYS)
def test_that_what_is_shown_lies_within_its_last_figure(entry, display):
    again = read_value(value_text(entry, display, NAMES), display, names=NAMES)
    for field in ("gravity", "brix", "lost", "sugar", "ph", "acid", "mass", "temperature"):
        value = getattr(entry, field, None)
        if value is not None:
            # Half of what a field shows last: 0.0001 of gravity, 0.01 °Bx and pH, 0.001 g/L, five figures else, 0.1 °F.
            room = {
                "sugar": max(6e-4, 6e-5 * value),
                "acid": max(6e-4, 6e-5 * value),
                "gravity": 6e-5,
                "brix": 6e-3,
                "ph": 6e-3,
                "temperature": 0.06,
            }.get(field, 6e-5 * value + 6e-7)
            if field in ("lost", "mass") and display is US:
                room = max(room, 0.006 * OUNCE)
            assert getattr(again, field) == pytest.approx(value, abs=room)


def decimals(low: int, high: int, most: int = 6):
    """Numbers as they are typed, with up to so many decimals."""
    return st.integers(0, most).flatmap(
        lambda places: st.integers(low * 10**places, high * 10**places).map(lambda n: f"{n / 10**places:.{places}f}")
    )


TYPED = st.one_of(
    decimals(980, 1180, 3).map(lambda text: ("gravity", f"{float(text) / 1000:.6f}", "{}", 1.0, 0.0)),
    decimals(980, 1180, 3).map(lambda text: ("gravity", f"{float(text) / 1000:.6f}", "sensor {}", 1.0, 0.0)),
    decimals(0, 40).map(lambda text: ("brix", text, "{} °Bx", 1.0, 0.0)),
    decimals(0, 400).map(lambda text: ("sugar", text, "{} g/L", 1.0, 0.0)),
    decimals(0, 30).map(lambda text: ("sugar", text, "< {} g/L", 1.0, 0.0)),
    decimals(2, 6).map(lambda text: ("ph", text, "pH {}", 1.0, 0.0)),
    decimals(1, 90).map(lambda text: ("lost", text, "-{} kg", 1.0, 0.0)),
    decimals(1, 99).map(lambda text: ("lost", text, "-{} g", 1e-3, 0.0)),  # SI Brochure: a gram is 0.001 kg
    decimals(1, 99).map(lambda text: ("mass", text, "fed {} g blend", 1e-3, 0.0)),
    decimals(1, 99).map(lambda text: ("volume", text, "racked {} L", 1e-3, 0.0)),
    decimals(-5, 40).map(lambda text: ("temperature", text, "{} °C", 1.0, 273.15)),  # SI Brochure, 2.3.1
    decimals(-5, 40).map(lambda text: ("temperature", text, "set to {} °C", 1.0, 273.15)),
)


@given(TYPED, st.sampled_from([ENGLISH, GERMAN]))
def test_that_what_is_typed_is_stored_as_typed_and_shown_so_that_it_is_read_back_the_same(typed, display):
    field, number, form, factor, offset = typed
    local = number.replace(".", display.locale.decimalPoint())
    entry = read_value(form.format(local), display, names=NAMES)
    assert getattr(entry, field) == float(number) * factor + offset
    assert values_of(read_value(value_text(entry, display, NAMES), display, names=NAMES)) == values_of(entry)


def test_that_only_what_was_changed_in_a_text_changes():
    before = SugarReading(sugar=12.34567890123, doubt=1.00000001)
    shown = read_value(value_text(before, ENGLISH), ENGLISH)
    wider = kept(before, shown, read_value("12.346 g/L ± 2 g/L", ENGLISH))
    assert (wider.sugar, wider.doubt) == (12.34567890123, 2.0)
    more = kept(before, shown, read_value("12.347 g/L ± 1 g/L", ENGLISH))
    assert (more.sugar, more.doubt) == (12.347, 1.00000001)
    other = kept(before, shown, read_value("1.050", ENGLISH))
    assert other == HydrometerReading(gravity=1.05)
    assert kept(before, None, other) == other


def test_that_moment_note_and_instrument_are_put_to_it():
    typed = read_value("racked off the lees", ENGLISH)
    whole = reading_of(typed, When(day=3.0), 290.0, "into glass", "")
    assert (whole.day, whole.note, whole.temperature) == (3.0, "off the lees; into glass", 290.0)
    warm = reading_of(read_value("18 °C", ENGLISH), When(day=3.0), 280.0)
    assert math.isclose(warm.temperature, 291.15)


def test_that_every_kind_has_words_and_an_example():
    for kind in KIND_WORDS:
        assert hint(kind, ENGLISH)
    assert described(SensorReading(gravity=1.05, doubt=0.002, instrument="12"), ENGLISH) == (
        "floating sensor, “12”, ± 0.002"
    )
    assert short_text(SugarReading(sugar=2.0, below=True), ENGLISH).replace("\u00a0", " ") == "< 2 g/L"


@pytest.mark.parametrize(
    ("text", "entry"),
    [
        ("24,8 °Bx", RefractometerReading(brix=24.8)),
        ("pH 3,35", AcidityReading(ph=3.35)),
        ("TA 6,5", TitrationReading(acid=6.5)),
        ("0,998", HydrometerReading(gravity=0.998)),
        ("sugar <2.5 g/l", SugarReading(sugar=2.5, below=True)),
        ("sugar test 12 g/L", SugarReading(sugar=12.0)),
        ("pasteurised", Event(what=What.STABILISED, note="pasteurised")),
        ("temperature set 21", Event(what=What.TEMPERATURE, temperature=294.15)),
        ("temperature 21", WarmthReading(temperature=294.15)),
        ("bottled 14 x 0.75", Event(what=What.BOTTLED, bottles=14, size=0.75e-3)),
        ("racked 10.8 L", Event(what=What.RACKING, volume=0.0108)),
        ("volume 10.8 L", VolumeReading(volume=0.0108)),
        ("Volume: 10,8 l", VolumeReading(volume=0.0108)),
        ("volume 10.8", VolumeReading(volume=0.0108)),
        ("10.8 L in the vessel", VolumeReading(volume=0.0108)),
        ("10.8 L of mead left", VolumeReading(volume=0.0108)),
        ("volume 10.8 L, in glass", VolumeReading(volume=0.0108, note="in glass")),
        ("racked 10,8 L", Event(what=What.RACKING, volume=0.0108)),
        ("racked, 10.8 L", Event(what=What.RACKING, volume=0.0108)),
        ("racked to 10.8 L, into glass", Event(what=What.RACKING, volume=0.0108, note="into glass")),
        ("racked 2 times", Event(what=What.RACKING, note="2 times")),
        ("racked to glass", Event(what=What.RACKING, note="to glass")),
        ("pH 3,350", AcidityReading(ph=3.35)),  # by thousands there is no pH
        ("refractometer 24,8", RefractometerReading(brix=24.8)),
        ("bottled 24 x 75", Event(what=What.BOTTLED, bottles=24, size=0.75e-3)),
        ("bottled 24 x 0,75", Event(what=What.BOTTLED, bottles=24, size=0.75e-3)),
        ("warmed to 22 °C", Event(what=What.TEMPERATURE, temperature=295.15)),
        ("cooled to 12", Event(what=What.TEMPERATURE, temperature=285.15)),
    ],
)
def test_that_a_log_is_read_as_it_is_written_by_hand(text, entry):
    assert read_value(text, ENGLISH) == entry


@pytest.mark.parametrize("text", ["0.75", "0,75", "750", "750 mL", "0.75 L", "75 cL"])
def test_that_a_bottle_has_the_same_size_in_both_systems(text):
    for display in (ENGLISH, GERMAN, US):
        assert read_value(f"bottled 24 x {text}", display).size == pytest.approx(0.75e-3)


def test_that_a_bare_size_in_american_measures_may_be_fluid_ounces():
    # NIST SP 811, appendix B.8: a US fluid ounce is 29.57353 mL
    assert read_value("bottled 24 x 12", US).size == pytest.approx(12 * 29.57353e-6, rel=1e-6)
    assert read_value("bottled 24 x 25.4", US).size == pytest.approx(25.4 * 29.57353e-6, rel=1e-6)


@pytest.mark.parametrize(("text", "told"), [
    ("warmed 2 degrees", "to that temperature, or by so much"),
    ("cooled 3 °C", "to that temperature, or by so much"),
    ("warmed by 2", "to that temperature, or by so much"),
    ("cooled", "Enter the new temperature"),
    ("bottled 24 x 7.5", "Enter the size with its unit"),
    ("racked 10.8", "enter the volume that came off the lees"),
    ("racked 11 kg", "enter the volume that came off the lees"),
    ("bottled 24 x 12", "Enter the size with its unit"),
    ("bottled 24 x 10", "Enter the size with its unit"),
    ("50", "gravity"),
    ("temperature 50", "in which unit? Enter 50 °F or 50 °C"),
    ("10,8 L", "is a volume"),
    ("24,8", "If you mean °Brix"),
])  # fmt: skip
def test_that_what_can_be_meant_in_two_ways_is_asked_about(text, told):
    with pytest.raises(EntryError) as asked:
        read_value(text, ENGLISH)
    assert told in str(asked.value)


@pytest.mark.parametrize("text", ["temperature set 21", "temperature 16", "set 20"])
def test_that_a_bare_temperature_below_freezing_is_asked_about_in_american_measures(text):
    with pytest.raises(EntryError, match=r"in which unit\? Enter \d\d °C or \d\d °F"):
        read_value(text, US)
    assert (read_value(f"{text} °C", US).temperature - 273.15) == pytest.approx(float(text[-2:]))


@pytest.mark.parametrize("text", ["1 " * 40_000, "1" * 80_000, "sugar " + "a " * 40_000 + "1", "a" * 80_000 + "1", "24" + " " * 80_000 + "q",
                                  "bottled 24" + " " * 80_000 + "q", "1.05" + " ±" * 40_000, "-1.2 " + "kg " * 30_000])  # fmt: skip
def test_that_a_long_paste_is_refused_before_any_pattern_sees_it(text, monkeypatch):
    """A pattern that sees no more than `LONGEST` letters cannot take long, whatever they are."""
    seen = []
    for name in ("_BELOW", "_DOUBT", "_CONCENTRATION", "_PH", "_BX", "_SHARE", "_UNIT", "_DECIMALS"):
        monkeypatch.setattr(log_entry, name, Watched(getattr(log_entry, name), seen))
    monkeypatch.setattr(log_done, "_BOTTLES", Watched(log_done._BOTTLES, seen))
    for kind in ("", "hydrometer", "sugar", "bottled"):
        with pytest.raises(EntryError, match="too long for a reading"):
            read_value(text, ENGLISH, kind, NAMES)
    assert seen == []


class Watched:
    """A pattern that writes down what it is asked to match."""

    def __init__(self, pattern, seen):
        self._pattern, self._seen = pattern, seen

    def fullmatch(self, text):
        self._seen.append(text)
        return self._pattern.fullmatch(text)

    search = sub = fullmatch


@pytest.mark.parametrize("text", ["note: {}", "racked {}", "stirred {}", "taste {}", "bottled {}"])
def test_that_words_of_a_note_may_be_many(text):
    words = "off the lees into glass " * 40
    assert words.strip() in read_value(text.format(words), ENGLISH).note


def test_that_a_volume_is_told_in_the_measures_of_the_reader():
    entry = read_value("volume 2.75 US gal", US)
    assert entry.volume == pytest.approx(2.75 * 3.785411784e-3)  # NIST SP 811, appendix B.8
    assert value_text(entry, US).replace("\xa0", " ") == "volume 2.75 US gal"
    assert value_text(entry, ENGLISH).replace("\xa0", " ").startswith("volume 10.4")
    for text in ("volume", "volume 10 kg", "volume of much"):
        with pytest.raises(EntryError, match=r"such as volume 2\.8 US gal"):
            read_value(text, US)
    with pytest.raises(EntryError, match=r"Enter volume 10\.8 L for what there is"):
        read_value("10.8 L", ENGLISH)

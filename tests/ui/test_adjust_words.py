"""What the adjustment pane says, as text."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QLocale

from planner.document import edits
from planner.document.batch import Addition, FruitLine, HoneyLine, new_batch
from planner.document.codec import decode
from planner.evaluation.outcome import evaluate
from planner.model.span import Span
from planner.model.sweetness import acid_steps, sweetness_steps
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples
from planner.ui.adjust.base_text import basis_text, stillness
from planner.ui.adjust.before_after import changes, cold_body, ranges_text
from planner.ui.adjust.text import ends, ph_text, steps_text, sugar_text
from planner.ui.adjust.weighing import (
    Fermenting,
    effect_text,
    fermenting,
    fermenting_text,
    measure_text,
    spoons,
    weighing,
)
from planner.ui.display import Display
from planner.units import GravityScale, Kind, System
from planner.wording.finding import Level

METRIC = Display(locale=QLocale("en_GB"))
US = Display(system=System.US, gravity_scale=GravityScale.BRIX, locale=QLocale("en_US"))
GERMAN = Display(locale=QLocale("de_DE"))
SHELF = catalogue()
CELLAR = 285.15


def plain(text):
    return text.replace("\u00a0", " ").replace("\u2060", "").replace("\u2212", "-")


def batch_with(*additions, **adjustment):
    batch = edits.add_line(new_batch(), "fruits", FruitLine(key="blackcurrant", mass=5.0))
    batch = edits.add_line(batch, "honeys", HoneyLine(key="blossom", mass=5.0))
    batch = edits.change_recipe(batch, water=12.0)
    listed = tuple(Addition(key=key, mass=mass) for key, mass in additions)
    return edits.change_adjustment(batch, additions=listed, **adjustment)


def outcome_with(*additions, members=8, **adjustment):
    return evaluate(batch_with(*additions, **adjustment), SHELF, members)


def told(outcome, index, display):
    effect = outcome.mead.effects[index]
    row = SHELF.additive(outcome.batch.adjustment.additions[index].key)
    return plain(effect_text(effect, row, outcome.mead.before, display))


@pytest.mark.parametrize(
    ("teaspoons", "text"),
    [
        (0.1, "less than ¼ tsp"),
        (0.3, "0.25 tsp"),
        (1.6, "1.5 tsp"),
        (4.6, "4.5 tsp"),
        (12.4, "4 tbsp"),  # 3 teaspoons to a tablespoon: NIST Handbook 44, appendix C
        (40.0, "13 tbsp"),
        (50.0, "1 US cup"),  # 48 teaspoons to a cup: the same
        (100.0, "2 US cups"),
        (155.0, "3.25 US cups"),
    ],
)
def test_that_spoons_are_told_as_roughly_as_they_measure(teaspoons, text):
    assert plain(spoons(teaspoons, US)) == text


@pytest.mark.parametrize(
    ("teaspoons", "text"), [(40.0, "13 tbsp"), (50.0, "250 mL"), (100.0, "490 mL"), (300.0, "1.5 L")]
)
def test_that_readers_of_metric_measures_get_no_american_cups(teaspoons, text):
    assert plain(spoons(teaspoons, METRIC)) == text


@given(st.floats(0.2, 1000.0))
def test_that_rounded_spoons_and_cups_are_never_further_off_than_half_a_mark(teaspoons):
    number, measure = plain(spoons(teaspoons, US)).split(" ", 1)
    size = {"tsp": 1.0, "tbsp": 3.0, "US cup": 48.0, "US cups": 48.0}[measure]  # NIST Handbook 44, appendix C
    count = teaspoons / size
    mark = 0.25 if "cup" in measure or count < 3.0 else 0.5 if count < 10.0 else 1.0
    assert abs(float(number) - count) <= mark / 2.0 + 1e-9


def test_that_a_liquid_is_told_by_volume_once_that_can_be_measured():
    honey = SHELF.additive("honey")
    assert plain(measure_text(0.142, honey, METRIC)) == "100 mL of it"  # 1420 kg/m3 on the shelf
    assert plain(measure_text(0.007, honey, METRIC)) == "1 tsp"  # 7.0 g a spoon on the shelf
    assert measure_text(0.0, honey, METRIC) == ""


@pytest.mark.parametrize(
    ("key", "kind"),
    [
        ("honey", Fermenting.TAKEN),
        ("sugar", Fermenting.TAKEN),
        ("dextrose", Fermenting.TAKEN),
        ("fructose", Fermenting.TAKEN),
        ("maltodextrin-10", Fermenting.IN_PART),
        ("erythritol", Fermenting.LEFT),
        ("lactose", Fermenting.LEFT),
        ("glycerol", Fermenting.LEFT),
        ("malic-acid", Fermenting.LEFT),
    ],
)
def test_that_what_yeast_can_take_is_told_apart(key, kind):
    assert fermenting(outcome_with((key, 0.1), members=0).mead.effects[0]) == kind


def test_that_the_word_says_whether_yeast_is_kept_from_working():
    assert fermenting_text(Fermenting.TAKEN, False) == "ferments"
    assert fermenting_text(Fermenting.IN_PART, False) == "ferments in part"
    assert fermenting_text(Fermenting.TAKEN, True) == "yeast will ferment it"
    assert (
        fermenting_text(Fermenting.LEFT, True) == fermenting_text(Fermenting.LEFT, False) == "yeast will not ferment it"
    )


def test_that_an_addition_tells_its_purpose_first_and_its_measure_last():
    outcome = outcome_with(("erythritol", 0.4), members=0)
    text = told(outcome, 0, METRIC)
    effect = outcome.mead.effects[0]
    low, sweetness, high = effect.sweetness_range
    here = outcome.mead.before.sweetness.typical
    steps = sweetness_steps(here, here + sweetness)
    assert text.startswith(f"+{sweetness:.1f} g/L sweetness ({low:.1f} to {high:.1f}; {steps:.1f} steps), ")
    assert text.endswith("; about 490 mL")  # 4.0 g a spoon on the shelf
    assert f"+{outcome.mead.effects[0].gravity:.3f} gravity" in text
    assert f"+{outcome.mead.effects[0].volume * 1e6:.0f} mL" in text


def test_that_an_acid_tells_of_acid_and_body_of_body():
    outcome = outcome_with(("malic-acid", 0.02), ("maltodextrin-5", 0.2), members=0)
    assert told(outcome, 0, METRIC).startswith("+1.2 g/L acid")
    assert "sweetness" not in told(outcome, 0, METRIC)
    assert "mPa·s body" in told(outcome, 1, METRIC).split(",")[0]


def test_that_an_addition_is_told_in_the_readers_units_and_signs():
    outcome = outcome_with(("erythritol", 0.4), members=0)
    assert "°Bx" in told(outcome, 0, US)
    assert "US fl oz" in told(outcome, 0, US)
    assert f"+{outcome.mead.effects[0].sweetness:.1f}".replace(".", ",") in told(outcome, 0, GERMAN)


def test_that_an_addition_of_nothing_says_so():
    assert told(outcome_with(("sugar", 0.0), members=0), 0, METRIC) == "nothing yet"


def test_that_the_scales_are_told_each_ingredient_once():
    additions = (
        Addition(key="erythritol", mass=0.3),
        Addition(key="honey", mass=0.355),
        Addition(key="erythritol", mass=0.1),
        Addition(key="sugar", mass=0.0),
        Addition(key="nowhere-sold", mass=1.0),
    )
    lines = [plain(line) for line in weighing(additions, SHELF.additives, METRIC)]
    assert lines == ["400 g erythritol (≈ 490 mL)", "355 g honey (≈ 250 mL)"]


def test_that_what_is_in_is_not_weighed_again():
    additions = (Addition(key="erythritol", mass=0.6), Addition(key="malic-acid", mass=0.02))
    lines = weighing(additions, SHELF.additives, METRIC, {"erythritol": 0.36, "malic-acid": 0.02})
    assert [plain(line) for line in lines] == ["240 g erythritol (≈ 300 mL); 360 g are in"]


def test_that_extracts_and_spirit_are_measured_by_volume():
    additions = (Addition(key="vanilla-extract", mass=0.05), Addition(key="spirit-40", mass=0.1, alcohol=0.5))
    vanilla, spirit = (plain(line) for line in weighing(additions, SHELF.additives, METRIC))
    assert vanilla.startswith(f"{0.05 / SHELF.additive('vanilla-extract').density * 1e6:.0f} mL vanilla extract")
    assert vanilla.endswith("(50 g)")
    # 50 % vol weighs 930.1 kg/m3 at 20 °C: OIML R 22, table.
    assert spirit.startswith(f"{0.1 / 0.9301 * 1e3:.0f} mL ")


def test_that_readers_of_american_measures_weigh_in_ounces_or_cups():
    (line,) = weighing((Addition(key="erythritol", mass=0.4),), SHELF.additives, US)
    assert plain(line) == "14.1 oz erythritol (≈ 2 level US cups)"  # 400 / 28.3495: NIST Handbook 44, appendix C


def test_that_the_table_shows_the_mead_before_and_after():
    mead = outcome_with(("sugar", 0.5), ("malic-acid", 0.02), gravity=1.004).mead
    rows = {row.caption: row for row in changes(mead, CELLAR, METRIC)}
    assert rows["Gravity"].before == "1.004"
    assert rows["Gravity"].after == f"{mead.after.gravity.typical:.3f}"
    for caption, before, after in (
        ("Sweetness", mead.before.sweetness, mead.after.sweetness),
        ("Fermentable", mead.before.fermentable, mead.after.fermentable),
    ):
        assert rows[caption].before == plain(METRIC.grams_per_litre(before)).split(" ")[0]
        assert rows[caption].after == plain(METRIC.grams_per_litre(after)).split(" ")[0]
        assert float(rows[caption].change) == pytest.approx(after.typical - before.typical, abs=0.5)
    assert plain(rows["Alcohol"].change).startswith("-")
    assert rows["Volume"].change.startswith("+")


def test_that_changes_are_counted_in_steps_that_tasters_notice():
    mead = outcome_with(("sugar", 0.5), ("malic-acid", 0.02), members=0, gravity=1.004).mead
    rows = {row.caption: row for row in changes(mead, CELLAR, METRIC)}
    change = sweetness_steps(mead.before.sweetness.typical, mead.after.sweetness.typical)
    assert float(rows["Sweetness"].steps) == pytest.approx(change, abs=0.05)
    change = acid_steps(mead.before.acid.typical, mead.after.acid.typical)
    assert float(rows["Acid"].steps) == pytest.approx(change, abs=0.05)
    assert rows["Alcohol"].steps == "<1"
    assert rows["Gravity"].steps == rows["Volume"].steps == rows["Fermentable"].steps == ""


@pytest.mark.parametrize(
    ("steps", "text"), [(0.0, "0"), (0.04, "0"), (-0.7, "<1"), (1.0, "1.0"), (-2.44, "2.4"), (12.3, "12")]
)
def test_that_steps_are_no_finer_than_tasters(steps, text):
    assert steps_text(steps, METRIC) == text


def test_that_both_ends_of_a_range_are_told_as_finely_as_each_other():
    assert plain(ends(Span(9.24, 11.2, 13.5), Kind.CONCENTRATION, METRIC, "g/L")) == "9.2 to 13.5 g/L"
    assert plain(ends(Span.exactly(5.0), Kind.CONCENTRATION, METRIC, "g/L")) == "5 g/L"
    assert plain(ends(Span(0.1152, 0.12, 0.1257), Kind.STRENGTH, METRIC)) == "11.5 to 12.6 % vol"
    assert plain(ends(Span(0.9971, 0.998, 1.0163), Kind.GRAVITY, METRIC)) == "0.997 to 1.016"


def test_that_the_sum_is_told_with_its_ranges():
    text = plain(ranges_text(outcome_with(("erythritol", 0.4), members=40, gravity=1.004).mead, METRIC))
    assert text.startswith("Nine in ten: sweetness ")
    assert " to " in text
    assert "body" in text


def test_that_the_table_keeps_one_unit_for_before_and_after():
    mead = outcome_with(("honey", 0.6), members=0, volume=0.8e-3).mead  # less than a litre before, more after
    row = changes(mead, CELLAR, METRIC)[0]
    assert row.unit == "mL"
    assert float(row.after) - float(row.before) == pytest.approx(float(row.change), abs=6.0)  # three figures
    assert changes(mead, CELLAR, US)[1].unit == "°Bx"


@given(st.floats(273.15, 293.0))
def test_that_a_colder_mead_is_thicker(temperature):
    assert cold_body(_MEAD, temperature) > 1.0
    assert cold_body(_MEAD, 293.15) == 1.0  # where viscosities are stated


_MEAD = outcome_with(members=0).mead


def test_that_it_is_told_what_is_missing_to_judge_stillness():
    verdict = stillness(outcome_with(members=0), METRIC)
    assert verdict.level == Level.NOTE
    assert "Enter the gravity" in verdict.text
    assert "Enter the gravity" in stillness(evaluate(new_batch(), SHELF, 0), METRIC).text


def test_that_a_finding_about_sugar_stands_alone():
    assert stillness(outcome_with(("honey", 0.5), gravity=1.004), METRIC) is None


def test_that_stabilised_sugar_stays_only_as_long_as_yeast_is_kept_from_it():
    outcome = outcome_with(("honey", 0.5), gravity=1.004, stabilised=True)
    verdict = stillness(outcome, METRIC)
    assert verdict.level == Level.NOTE
    assert plain(METRIC.grams_per_litre(outcome.mead.after.fermentable.typical)) in plain(verdict.text)
    assert "only as long as" in verdict.text


def test_that_a_dry_mead_is_told_to_be_still_with_the_most_sugar_there_may_be():
    outcome = outcome_with(("erythritol", 0.1), members=0, gravity=0.992)
    sugar = msgspec.structs.replace(outcome.mead.after, fermentable=Span(0.0, 0.5, 1.2))
    outcome = msgspec.structs.replace(outcome, mead=msgspec.structs.replace(outcome.mead, after=sugar), findings=())
    assert plain(stillness(outcome, METRIC).text).startswith(
        "Stable, by the figures: at most 1.2 g/L of fermentable sugar"
    )


def test_that_a_test_that_was_made_is_not_asked_for_again():
    outcome = outcome_with(("erythritol", 0.1), members=0, gravity=0.992)
    sugar = msgspec.structs.replace(outcome.mead.after, fermentable=Span(0.0, 0.5, 1.2))
    known = msgspec.structs.replace(outcome.mead.known, by_test=True)
    outcome = msgspec.structs.replace(
        outcome, mead=msgspec.structs.replace(outcome.mead, after=sugar, known=known), findings=()
    )
    text = plain(stillness(outcome, METRIC).text)
    assert text.startswith("Stable, by your sugar test: at most 1.2 g/L")
    assert "Confirm it" not in text


def test_that_strong_meads_are_told_to_be_past_the_limit_of_their_yeast():
    outcome = outcome_with(("erythritol", 0.1), gravity=1.004)
    outcome = msgspec.structs.replace(outcome, findings=())
    assert "past its limit" in stillness(outcome, METRIC).text


def test_that_a_warning_at_an_addition_is_not_passed_over():
    outcome = outcome_with(("erythritol", 3.0), gravity=1.004, stabilised=True)
    verdict = stillness(outcome, METRIC)
    assert verdict.level == Level.WARNING
    assert "an addition carries a warning" in verdict.text


# --- by what the mead is known


def basis_of(name, members=40, **adjustment):
    batch = decode((samples() / f"{name}.meadbatch").read_bytes())
    outcome = evaluate(edits.change_adjustment(batch, **adjustment), SHELF, members)
    return plain(basis_text(outcome.mead, METRIC)), outcome


def test_that_a_plan_says_that_nothing_is_measured_and_tells_its_ranges():
    text, outcome = basis_of("quince-planned")
    gravity = outcome.mead.before.gravity
    assert "No measurements yet" in text
    assert f"{gravity.low:.3f} to {gravity.high:.3f}" in text


def test_that_a_log_at_rest_tells_its_day_and_its_sugar_as_an_interval():
    text, outcome = basis_of("damson-stopped")
    sugar = outcome.mead.before.fermentable
    assert "By the log, day 30: stalled at 1.030" in text
    assert f"{sugar.low:.0f} to {sugar.high:.0f} g/L" in text


def test_that_a_forecast_says_that_it_is_one_and_what_is_left_now():
    text, outcome = basis_of("blackcurrant-half-way")
    now = outcome.posterior.now.sugar
    assert "Still fermenting: figures are for the expected end" in text
    assert f"Now {now.low:.0f} to {now.high:.0f} g/L of sugar" in text


def test_that_a_gravity_measured_while_the_log_moves_is_told_to_be_early():
    assert "the log says that it still ferments" in basis_of("blackcurrant-half-way", gravity=1.010)[0]
    assert basis_of("raspberry-finished")[0] == ""  # measured, and at rest: nothing to say


@pytest.mark.parametrize(
    ("sugar", "text"),
    [(Span(0.5, 1.0, 2.4), "1.0 g/L"), (Span(36.4, 47.0, 54.3), "36 to 54 g/L"), (Span(-0.3, 2.0, 9.0), "0 to 9 g/L")],
)
def test_that_sugar_nobody_knows_is_told_by_its_ends(sugar, text):
    assert plain(sugar_text(sugar, METRIC)) == text


def test_that_a_measured_ph_is_a_number_and_a_predicted_one_a_range():
    assert ph_text(Span.exactly(3.3), METRIC) == "3.30"
    assert ph_text(Span(3.11, 3.3, 3.68), METRIC) == "3.1 to 3.7"
    assert ph_text(Span(3.11, 3.3, 3.68), GERMAN) == "3,1 to 3,7"


def test_that_the_table_tells_where_the_ph_goes_and_what_room_is_left():
    mead = outcome_with(("malic-acid", 0.03), gravity=1.004, volume=0.0195, ph=3.4).mead
    rows = {row.caption: row for row in changes(mead, CELLAR, METRIC, vessel=0.020)}
    assert rows["pH"].before == "3.40"
    assert float(rows["pH"].after) < 3.4
    assert plain(rows["pH"].change).startswith("-")
    assert plain(rows["Headspace"].before) == "500"  # 20 L less 19.5 L
    assert rows["Headspace"].unit == "mL"
    predicted = outcome_with(("malic-acid", 0.03), gravity=1.004).mead
    rows = {row.caption: row for row in changes(predicted, CELLAR, METRIC)}
    assert rows["pH"].before.startswith("≈")
    assert "Headspace" not in rows


def test_that_acids_and_carbonates_tell_which_way_the_ph_goes():
    outcome = outcome_with(("malic-acid", 0.02), ("potassium-bicarbonate", 0.02), ("water", 1.0), members=0)
    assert "pH falls" in told(outcome, 0, METRIC)
    assert "pH rises" in told(outcome, 1, METRIC)
    assert "pH" not in told(outcome, 2, METRIC)


def test_that_the_hover_tells_how_far_the_sweetness_can_be_trusted():
    mead = outcome_with(("erythritol", 0.4), gravity=1.004).mead
    rows = {row.caption: row for row in changes(mead, CELLAR, METRIC)}
    assert "90 % sure" in rows["Sweetness"].hover
    assert "90 %" not in rows["Gravity"].hover

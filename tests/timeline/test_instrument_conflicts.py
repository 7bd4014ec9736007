"""Instruments that contradict each other: named in place, both kept possible, and never explained away by odd chemistry."""

from __future__ import annotations

import re

import pytest
from example_batches import SHELF, plain, read, sugar_test, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.adjusting.base_mead import Basis
from planner.document import edits
from planner.document.batch import FruitLine, HoneyLine, RefractometerReading, SugarReading
from planner.model.liquid import fermentable, titratable_acid, volume
from planner.reporting.data import as_data
from planner.reporting.text import as_text
from planner.timeline.instrument_conflicts import disagreements, open_one
from planner.timeline.verdict_rule import FINISHED, ON_COURSE, TEST
from planner.ui.adjust.base_text import basis_text
from planner.ui.display import Display
from planner.ui.log.alcohol_button import SoFarButton

MEMBERS = 100


def strong(*entries):
    """Raspberries and honey, 1.108, stopped at 1.051: the log of someone whose sugar tests went wrong."""
    recipe = plain(
        fruits=(FruitLine(key="raspberry", mass=6.0),), honeys=(HoneyLine(key="blossom", mass=1.46),), water=0.0, feeds=(),
        vessel=0.010,
    )  # fmt: skip
    return with_log(recipe, *entries)


def falling(*pairs):
    return [read(float(day), gravity) for day, gravity in pairs]


STOPPED = falling((0, 1.108), (1.8, 1.095), (4.1, 1.082), (6.1, 1.070), (7.8, 1.060), (10.8, 1.052), (13.8, 1.051),
                  (16.8, 1.051), (20.8, 1.051))  # fmt: skip


def outcome_of(*entries):
    return worked_out(strong(*STOPPED, *entries), MEMBERS)


def said_at(outcome, place):
    return [str(finding.text) for finding in outcome.findings if finding.place == f"log.readings.{place}"]


@pytest.fixture(scope="module")
def contradicted():
    return outcome_of(sugar_test(21.0, 40.0))


def test_that_a_sugar_test_and_a_hydrometer_that_disagree_are_both_named_with_the_difference(contradicted):
    (text,) = said_at(contradicted, 9)
    # By rule of thumb a gram of sugar in a litre is 0.00044 of gravity with its alcohol: 70 g/L are 31 lines.
    for part in ("Sugar test 40", "hydrometer 1.051", "leave out the one that was off"):
        assert part in text
    differs = re.search(r"disagree by (\d+) g/L", text)
    # Two lines of the stem, 4.5 g/L, on either side of what the fruit's table leaves open, 3.5 g/L.
    assert differs
    assert abs(int(differs[1]) - 71) <= 8


def test_that_acid_never_takes_up_what_two_instruments_disagree_about(contradicted):
    # Yeast makes succinic acid, 0.2 to 1.7 g/L (handbook of enology, from memory), and little else that is titrated.
    must, mead = contradicted.must.acid, contradicted.mead.before.acid
    assert mead.typical < must.typical + 2.0
    assert mead.high < must.high + 3.0


@pytest.mark.parametrize("found", [1.05, 20.0, 40.0])
def test_that_both_possibilities_are_within_what_is_shown_of_the_mead(found):
    outcome = outcome_of(sugar_test(21.0, found))
    sugar, alcohol = outcome.mead.before.fermentable, outcome.mead.before.alcohol
    assert sugar.low < found + 3.0
    assert sugar.high > 95.0
    # Half a gram of alcohol for each gram of sugar, 0.789 g in a millilitre of it.
    assert alcohol.high - alcohol.low > 0.9 * (95.0 - found) * 0.48 / 789.0


def test_that_pane_log_and_reasons_tell_one_alcohol(contradicted):
    told = contradicted.so_far.alcohol
    assert told == contradicted.mead.before.alcohol
    before, last = contradicted.on(*contradicted.log[-2:])
    assert last.alcohol == told
    # Half of the members believe the test, which says that 70 g/L more became alcohol since.
    assert last.alcohol.high > before.alcohol.high + 0.03
    (line,) = [str(text) for text in contradicted.verdict.evidence if str(text).startswith("Alcohol on day")]
    assert f"{100 * told.high:.1f}" in line


def test_that_the_other_alcohol_is_told_with_the_balance(contradicted):
    told = as_data(contradicted, SHELF)["alcohol_so_far"]
    assert any("By the first it would be 11." in line for line in told["in_words"])  # 233 - 40 g/L over 16.83
    assert told["alcohol_pct_vol"]["high"] > told["by_mass_balance_pct_vol"]["high"] + 3.0


def test_that_the_report_tells_both_possibilities_at_the_reading_that_is_contradicted(contradicted):
    (line,) = [line for line in as_text(as_data(contradicted, SHELF)).splitlines() if line.startswith("  21.0")]
    sugar = contradicted.mead.before.fermentable
    assert f"{sugar.low:.0f} to {sugar.high:.0f}" in line


def test_that_the_heading_of_the_log_shows_the_wide_interval(contradicted, qtbot):
    button = SoFarButton(Display())
    qtbot.addWidget(button)
    button.show_so_far(contradicted.so_far)
    assert "11." in button.text() or "12." in button.text()


def test_that_one_contradicted_test_never_makes_it_finished():
    outcome = outcome_of(sugar_test(21.0, 95.0), sugar_test(22.0, 1.05))
    assert outcome.verdict.kind == TEST
    assert "1.1 g/L and hydrometer 1.051 of day 21 disagree" in str(outcome.headline.sentence)
    assert "Measure both again" in str(outcome.headline.next)


def test_that_a_finished_ferment_is_no_longer_called_so_while_a_test_contradicts_it():
    done = falling((0, 1.098), (2, 1.070), (5, 1.030), (8, 1.008), (12, 1.000), (16, 0.999), (20, 0.999))
    batch = with_log(plain(), *done)
    assert worked_out(batch, MEMBERS).verdict.kind == FINISHED
    for after in ((), (read(22.0, 0.999),)):
        outcome = worked_out(edits.add_readings(batch, sugar_test(21.0, 45.0), *after), MEMBERS)
        assert outcome.verdict.kind == TEST
        assert outcome.mead.before.fermentable.high > 45.0  # what may burst a bottle is in the interval
        assert any("two instruments disagree" in str(f.text) for f in outcome.findings if f.place == "adjustment")
        assert any("Up to" in str(text) and "burst" in str(text) for text in outcome.verdict.cautions)


def test_that_a_second_test_that_fits_settles_it(contradicted):
    settled = outcome_of(sugar_test(21.0, 40.0), sugar_test(21.5, 99.0))
    (one,) = found_in(settled)
    assert not one.is_open
    assert settled.so_far.rival is None
    assert found_in(contradicted)[0].is_open


def test_that_leaving_out_the_one_that_was_off_settles_it():
    tested = edits.leave_out(strong(*STOPPED, sugar_test(21.0, 40.0)), [9])
    assert not found_in(worked_out(tested, MEMBERS))
    assert worked_out(tested, MEMBERS).mead.before.fermentable.low > 90.0


def found_in(outcome):
    from planner.recipe.must import anchored, must
    from planner.reference.catalogue import catalogue
    from planner.timeline.readings import path

    start = anchored(must(outcome.batch, catalogue(), 0), outcome.starting_gravity)
    return disagreements(outcome.batch.log, outcome.log, path(start.liquid.member(0)), outcome.posterior)


@pytest.mark.parametrize("day", [20.9, 22.8])
def test_that_a_refractometer_beside_a_hydrometer_that_says_otherwise_is_one_of_two_possibilities(day):
    # (233 - 97) g/L of extract over 16.83 are 8.1 % vol by the rule of thumb; 11.5 was read off the one drop alone.
    outcome = outcome_of(RefractometerReading(day=day, brix=13.0))
    assert outcome.so_far.balance.typical == pytest.approx(0.076, abs=0.005)
    (state,) = outcome.on(outcome.log[9])
    assert state.alcohol == outcome.mead.before.alcohol
    assert outcome.mead.known.torn
    assert "Two instruments disagree" in basis_text(outcome.mead, Display())
    (text,) = said_at(outcome, 9)
    assert text.startswith("Refractometer 13.0 °Bx and hydrometer 1.051")
    assert "refractometer 13.0 °Bx and hydrometer 1.051" in str(outcome.headline.sentence)
    assert outcome.mead.before.fermentable.low < 50.0 < 95.0 < outcome.mead.before.fermentable.high
    # Once it is left out, nothing of it is said.
    without = worked_out(edits.leave_out(outcome.batch, [9]), MEMBERS)
    assert not said_at(without, 9)
    assert without.mead.before.fermentable.low > 90.0


def test_that_while_gravity_falls_a_refractometer_far_off_is_named_and_the_forecast_is_kept():
    outcome = worked_out(strong(*STOPPED[:6], RefractometerReading(day=11.8, brix=13.0)), MEMBERS)
    plain_log = worked_out(strong(*STOPPED[:6]), MEMBERS)
    assert said_at(outcome, 6)
    assert outcome.verdict.kind == plain_log.verdict.kind == ON_COURSE
    assert outcome.mead.basis is Basis.FORECAST
    assert outcome.mead.before.fermentable.typical == pytest.approx(plain_log.mead.before.fermentable.typical, abs=12.0)


@given(st.floats(-5.0, 5.0))
@settings(max_examples=8, deadline=None)
def test_that_a_test_within_what_the_tables_leave_open_is_believed_without_a_word(off):
    # The fruit's table leaves the dry gravity of this must open by 1.5 thousandths, 3.5 g/L of sugar, as standard deviation.
    found = outcome_of().posterior.now.sugar.typical + off  # as far from what the gravities tell
    outcome = outcome_of(sugar_test(21.0, found))
    assert not found_in(outcome)
    # A strip at 115 g/L is known to 10.5 g/L (15 % of it at 90 %): joined with 3.5 g/L it moves the figure a tenth of the way.
    assert outcome.posterior.now.sugar.typical == pytest.approx(found, abs=max(3.5, 0.9 * abs(off) + 0.5))
    assert outcome.mead.before.acid.typical < outcome.must.acid.typical + 2.0


@pytest.mark.parametrize("below", [False, True])
def test_that_a_gravity_typed_into_the_adjustment_is_not_explained_away_either(below):
    test = SugarReading(day=21.0, sugar=2.0, below=below)
    batch = edits.change_adjustment(strong(*STOPPED, test), gravity=1.051)
    for members in (0, MEMBERS):
        mead = worked_out(batch, members).mead
        assert mead.before.acid.typical < 27.0
        assert mead.before.fermentable.typical > 90.0
    assert mead.before.fermentable.low < 5.0


def test_that_alcohol_follows_gravity_when_a_test_has_told_other_extract():
    # Other extract was there from the start and takes no part: what fell is sugar that became alcohol.
    few, many = (outcome_of(sugar_test(21.0, sugar)).posterior.now.alcohol.typical for sugar in (98.0, 112.0))
    assert few == pytest.approx(many, abs=0.002)


def test_that_a_slip_of_the_same_instrument_is_no_disagreement_of_two():
    outcome = worked_out(strong(*STOPPED[:6], read(11.0, 1.006), *STOPPED[6:]), MEMBERS)
    assert not found_in(outcome)
    assert open_one(()) is None


def test_that_the_mead_kept_as_two_possibilities_is_by_mass_balance_in_each(contradicted):
    liquid = contradicted.mead.base
    sugar = fermentable(liquid) / volume(liquid)
    tested = sugar < 60.0
    assert 0.3 < tested[1:].mean() < 0.7
    assert not tested[0]
    assert titratable_acid(liquid)[tested].max() < 1.3 * contradicted.must.acid.high

"""A volume that was measured, at a racking or as it stood, counts from then on: doses, bottles and cost start from it, and losses are not deducted again."""

from __future__ import annotations

import numpy as np
import pytest
from example_batches import SHELF, plain, read, sugar_test, with_log, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.adjusting.done import done_to, led, left_of_doses
from planner.adjusting.mead import mead as mead_of
from planner.document import edits
from planner.document.batch import Addition, Adjustment, Event, Price, Prices, StepFeed, VolumeReading, What
from planner.document.codec import decode, encode
from planner.importing.export import export_csv
from planner.model.liquid import Liquid, concentration, fermentable, volume
from planner.planning.cost import cost
from planner.planning.schedule import schedule
from planner.recipe.vessels import Bottles, way
from planner.reporting.data import as_data
from planner.reporting.text import as_text

MEMBERS = 60
DRY = (
    read(0.0, 1.098),
    read(5.0, 1.050),
    read(12.0, 1.006),
    read(20.0, 1.000),
    read(28.0, 1.000),
    sugar_test(28.0, 0.5),
)


def racked(day, litres, **fields):
    return Event(what=What.RACKING, day=day, volume=None if litres is None else litres * 1e-3, **fields)


def stands(day, litres, **fields):
    """Its volume as it stands, which nobody racked."""
    return VolumeReading(day=day, volume=litres * 1e-3, **fields)


def dose(key, mass, day):
    return Event(what=What.DOSE, key=key, mass=mass, day=day)


def batch(*entries, additions=(), **recipe):
    made = with_log(plain(**recipe), *DRY, *entries)
    return edits.change_adjustment(made, additions=tuple(Addition(key=key, mass=mass) for key, mass in additions))


def of(*entries, members=MEMBERS, **more):
    return worked_out(batch(*entries, **more), members)


def test_that_the_adjustment_doses_what_came_off_the_lees():
    outcome = of(racked(30.0, 10.8), additions=(("erythritol", 0.108),))
    assert volume(outcome.mead.base) == pytest.approx(0.0108, rel=1e-9)
    assert outcome.mead.before.volume.is_exact or np.ptp(outcome.mead.before.volume) < 1e-12
    # 108 g in 10.8 L, which take 0.7 mL/g more of room.
    assert concentration(outcome.mead.mixed, "erythritol") == pytest.approx(0.108 / 0.01088, rel=1e-3)


@pytest.mark.parametrize("when", [4.0, 12.0, 28.0, 30.0])
def test_that_a_volume_as_it_stands_counts_as_one_that_came_off_the_lees(when):
    one, other = of(stands(when, 10.8)), of(racked(when, 10.8))
    assert one.mead.before == other.mead.before
    assert one.mead.after == other.mead.after
    assert not one.batch.log.entries.tells("bottles")


def test_that_a_volume_after_a_dose_leaves_its_share_of_the_dose():
    honey = dose("honey", 0.5, 29.0)
    assert of(honey, stands(35.0, 9.0)).mead.now == of(honey, racked(35.0, 9.0)).mead.now


def test_that_a_racking_after_a_volume_still_costs_and_one_before_it_does_not():
    losses = batch().recipe.losses
    for log, shares in (
        ((stands(30.0, 10.8),), (losses.lees, losses.racking)),
        ((racked(29.0, None), stands(30.0, 10.8)), (losses.racking,)),
        ((racked(29.0, None), racked(30.0, None), stands(30.0, 10.8)), ()),
        ((racked(29.0, None), stands(30.0, 10.8), racked(31.0, None)), (losses.racking,)),
    ):
        outcome, left = of(*log), 0.0108 * (1.0 - losses.bottling)
        for share in shares:
            left *= 1.0 - share
        made = way(outcome.batch, SHELF, outcome.must.volume.typical, outcome.mead.after.volume.typical)
        assert made.bottled == pytest.approx(left, rel=1e-6), log


def test_that_schedule_and_reasons_know_of_no_racking_where_only_a_volume_was_measured():
    one, plainly = of(stands(30.0, 10.8)), of()
    assert [(task.key, task.done) for task in schedule(one, SHELF).tasks] == [
        (task.key, task.done) for task in schedule(plainly, SHELF).tasks
    ]
    assert one.verdict.evidence == plainly.verdict.evidence


def test_that_only_the_last_volume_counts_and_none_that_was_left_out():
    assert of(racked(30.0, 12.0), racked(60.0, 10.8)).mead.before.volume.typical == pytest.approx(0.0108, rel=1e-6)
    for other in (racked(60.0, 9.0, excluded=True), racked(60.0, None), Event(what=What.STIRRING, day=60.0)):
        assert of(racked(30.0, 12.0), other).mead.before.volume.typical == pytest.approx(0.012, rel=1e-6)


def test_that_a_volume_typed_into_the_adjustment_comes_before_it():
    made = edits.change_adjustment(batch(racked(30.0, 10.8)), volume=0.0105)
    assert worked_out(made, MEMBERS).mead.before.volume.typical == pytest.approx(0.0105)


@pytest.mark.parametrize(("litres", "told"), [(10.5, False), (9.0, True)])
def test_that_two_volumes_that_differ_are_named(litres, told):
    made = edits.change_adjustment(batch(racked(30.0, 10.8)), volume=litres * 1e-3)
    found = [str(one.text) for one in worked_out(made, MEMBERS).findings if one.place == "adjustment.volume"]
    assert any("10.8 L" in text and "counts" in text for text in found) == told


def test_that_bottles_are_counted_from_it_and_its_losses_are_not_deducted_again():
    one = of(racked(30.0, 10.8))
    made = way(one.batch, SHELF, one.must.volume.typical, one.mead.after.volume.typical)
    losses = one.batch.recipe.losses
    assert losses.rackings == 2
    left = 0.0108 * (1.0 - losses.racking) * (1.0 - losses.bottling)  # one racking is still to come
    assert made.bottled == pytest.approx(left, rel=1e-6)
    plan = as_data(one, SHELF)["plan"]
    assert plan["bottles"] == [{"size_ml": 750.0, "number": int(left / 0.75e-3)}]
    assert sum(loss["lost_l"] for loss in plan["losses"]) + plan["bottled_l"] == pytest.approx(
        one.must.volume.typical * 1e3, rel=1e-4
    )
    both = of(racked(30.0, 12.0), racked(60.0, 10.8))
    made = way(both.batch, SHELF, both.must.volume.typical, both.mead.after.volume.typical)
    assert made.bottled == pytest.approx(0.0108 * (1.0 - losses.bottling), rel=1e-6)


def test_that_a_volume_measured_of_the_finished_mead_is_behind_every_racking_of_the_log():
    made = edits.change_adjustment(batch(racked(30.0, None), racked(60.0, None)), volume=0.0105)
    outcome = worked_out(made, MEMBERS)
    told = way(made, SHELF, outcome.must.volume.typical, outcome.mead.after.volume.typical)
    assert told.bottled == pytest.approx(0.0105 * (1.0 - made.recipe.losses.bottling), rel=1e-6)


def test_that_cost_follows():
    prices = Prices(currency="€", lines=(Price(key="blossom", per_kg=10.0),), bottle=1.0)
    whole, little = of(prices=prices), of(racked(30.0, 10.8), prices=prices)
    number = [
        sum(b.number for b in way(o.batch, SHELF, o.must.volume.typical, o.mead.after.volume.typical).bottles)
        for o in (whole, little)
    ]
    assert number[0] > number[1] == 14
    assert cost(little.batch, number[1]).total == pytest.approx(46.0 + 14.0)


def test_that_a_racking_while_it_works_leaves_a_share_of_all_that_comes_of_it():
    early, late = of(racked(12.0, 10.8)), of(racked(28.0, 10.8))
    # From 1.006 to 1.000 the batch loses three parts in a thousand of its volume at most.
    assert early.mead.before.volume.typical == pytest.approx(late.mead.before.volume.typical, rel=0.003)
    for name in ("alcohol", "fermentable", "acid", "gravity"):
        assert getattr(early.mead.before, name) == pytest.approx(getattr(late.mead.before, name), rel=1e-6)


def test_that_what_is_added_after_a_racking_meets_what_is_left_of_the_must():
    honey = Event(what=What.ADDED, key="blossom", mass=1.0, day=8.0)
    log = (read(0.0, 1.060), read(5.0, 1.030))
    halved = worked_out(with_log(plain(honeys=()), *log, racked(6.0, 9.0), honey), MEMBERS)
    bare = worked_out(with_log(plain(honeys=()), *log), MEMBERS)
    before, after = (float(fermentable(o.mead.base)[0] / volume(o.mead.base)[0]) + 16.83 * 100 * o.mead.before.alcohol.typical
                     for o in (bare, halved))  # fmt: skip
    # A kilogram of honey, of which 76 to 82 parts in a hundred are sugar, in 9.7 L (16.83 g/L make 1 % vol).
    assert after == pytest.approx((9.0 * before + 790.0) / 9.7, abs=4.0)
    assert halved.mead.before.volume.typical == pytest.approx(0.009 + 0.0007, abs=3e-4)


def test_that_a_planned_step_feed_after_a_racking_counts_likewise():
    feed = (StepFeed(key="blossom", mass=1.0, day=8.0),)
    log = (read(0.0, 1.060), read(5.0, 1.030), racked(6.0, 9.0))
    planned = worked_out(with_log(plain(honeys=(), step_feeds=feed), *log), MEMBERS)
    assert planned.mead.before.volume.typical == pytest.approx(0.009 + 0.0007, abs=3e-4)
    assert planned.batch.recipe.step_feeds[0].mass == 1.0


def test_that_a_racking_after_a_dose_takes_its_share_of_the_dose():
    before, after = (dose("honey", 0.5, 29.0), racked(35.0, 9.0)), (racked(35.0, 9.0), dose("honey", 0.5, 36.0))
    one, other = of(*before).mead, of(*after).mead
    assert one.now.volume.typical == pytest.approx(0.009, rel=1e-6)
    assert one.after == one.now
    assert other.now.volume.typical > 0.0093
    # A racking changes nothing but the amount.
    whole = of(before[0]).mead
    assert one.now.fermentable.typical == pytest.approx(whole.now.fermentable.typical, rel=1e-9)
    # The same half kilogram in 9 L instead of all of it: as many times the sugar as there is less mead.
    assert other.now.fermentable.typical / one.now.fermentable.typical == pytest.approx(
        whole.now.volume.typical / other.now.volume.typical, rel=0.05
    )


@pytest.mark.parametrize("measured", [racked, stands])
def test_that_a_volume_measured_after_a_dose_is_known_whatever_it_was_before(measured):
    before = of(dose("honey", 0.5, 29.0)).mead.now.volume
    assert before.high - before.low > 1e-4  # nobody has measured it
    for key, mass in (("honey", 0.5), ("spirit-40", 0.2), ("maltodextrin-10", 0.3)):
        now = of(dose(key, mass, 29.0), measured(35.0, 9.0)).mead.now
        assert now.volume == pytest.approx((0.009,) * 3, rel=1e-9), key
        more = of(dose(key, mass, 29.0), measured(35.0, 9.0), dose("erythritol", 0.2, 36.0)).mead.now
        assert more.volume.high - more.volume.low < 5e-6


def test_that_what_is_still_to_come_is_what_was_planned_less_what_was_stirred_in():
    outcome = of(dose("erythritol", 0.2, 29.0), racked(35.0, 9.0), additions=(("erythritol", 0.5),))
    (step,) = outcome.mead.given
    assert step.planned - step.mass == pytest.approx(0.3)
    grown = outcome.mead.mixed.mass - outcome.mead.base.mass
    lost = 0.5 - float(grown[0])
    # What came off the lees holds 9 L of some 18: about half of the 200 g are gone with the rest.
    assert lost == pytest.approx(0.1, abs=0.02)


keys = st.sampled_from(["erythritol", "honey", "malic-acid", "maltodextrin-10"])
events = st.lists(st.one_of(
    st.builds(lambda key, mass: ("dose", key, mass), keys, st.floats(0.01, 0.8)),
    st.builds(lambda share: ("rack", "", share), st.floats(0.3, 1.0)),
), max_size=6)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(events)
def test_that_every_gram_is_in_the_vessel_or_was_left_behind(chosen):
    base = Liquid.of(water=16.0, ethanol=1.6, malic=0.1, glycerol=0.1, other=0.3, fructose=0.05)
    log, mixed, lost, put = [], base, Liquid.of(), base
    for day, (what, key, amount) in enumerate(chosen):
        if what == "dose":
            row = SHELF.additive(key)
            added = Liquid.of(**{name: share * amount for name, share in row.composition})
            mixed, put = mixed + added, put + added
            log.append(dose(key, amount, 30.0 + day))
        else:
            room = amount * float(volume(mixed))
            lost, mixed = lost + mixed * (1.0 - amount), mixed * amount
            log.append(racked(30.0 + day, room * 1e3))
    made = with_log(plain(), *log)
    found = [base, *led(base, done_to(made, SHELF), (), SHELF)][-1]
    assert found.masses == pytest.approx(mixed.masses, rel=1e-9, abs=1e-12)
    assert (found + lost).masses == pytest.approx(put.masses, rel=1e-9, abs=1e-12)
    kept, gone = left_of_doses(base, done_to(made, SHELF), (), SHELF)
    parts = base * kept
    for key in {key for what, key, _ in chosen if what == "dose"}:
        mass = sum(amount for what, name, amount in chosen if what == "dose" and name == key) - gone.get(key, 0.0)
        parts = parts + Liquid.of(**{name: share * mass for name, share in SHELF.additive(key).composition})
    assert parts.masses == pytest.approx(mixed.masses, rel=1e-9, abs=1e-12)


def test_that_a_mead_without_a_log_is_as_it_was():
    base = Liquid(np.repeat(Liquid.of(water=16.0, ethanol=1.6, malic=0.1).masses[:, None], 3, axis=1))
    assert mead_of(Adjustment(), base, True, SHELF).left == 1.0


def test_that_file_table_and_report_keep_a_volume_as_it_stands():
    made = batch(stands(30.0, 10.8, note="to the brim"))
    assert decode(encode(made)) == made
    (line,) = [line for line in export_csv(made).splitlines() if "to the brim" in line]
    assert "volume" in line
    outcome = worked_out(made, MEMBERS)
    (row,) = [row for row in as_data(outcome, SHELF)["log"] if row["kind"] == "volume"]
    assert row["volume_l"] == 10.8
    assert "volume 10.8 L" in as_text(as_data(outcome, SHELF))


def test_that_file_table_and_report_keep_the_volume():
    made = batch(racked(30.0, 10.8, note="clear"))
    assert decode(encode(made)) == made
    text = export_csv(made)
    assert "Volume left [L]" in text.splitlines()[0]
    assert "10.8" in text
    outcome = worked_out(made, MEMBERS)
    (row,) = [row for row in as_data(outcome, SHELF)["log"] if row["kind"] == "racking"]
    assert row["volume_left_l"] == 10.8
    assert "racked 10.8 L" in as_text(as_data(outcome, SHELF))


def bottling(*lots):
    return tuple(Event(day=120.0, what=What.BOTTLED, bottles=number, size=size) for number, size in lots)


def test_that_what_was_bottled_is_told_as_it_was_counted():
    batch = with_log(plain(), *DRY, *bottling((14, 0.75e-3), (6, 0.375e-3)))
    outcome = worked_out(batch, 0)
    found = way(batch, SHELF, outcome.must.volume.typical, outcome.mead.after.volume.typical)
    assert found.bottles == (Bottles(0.75e-3, 14), Bottles(0.375e-3, 6))
    assert found.bottled == pytest.approx(14 * 0.75e-3 + 6 * 0.375e-3)
    assert found.rest == 0.0


def test_that_a_racking_that_nobody_logged_takes_nothing_from_what_was_bottled():
    batch = with_log(plain(), *DRY, *bottling((5, 0.75e-3)))
    outcome = worked_out(batch, 0)
    mead = outcome.mead.after.volume.typical
    found = way(batch, SHELF, outcome.must.volume.typical, mead)
    assert [step.lost for step in found.steps if "racking" in step.name] == [0.0] * batch.recipe.losses.rackings
    assert found.steps[-1].lost == pytest.approx(mead - 5 * 0.75e-3)


def test_that_bottles_that_were_not_counted_leave_the_plan_as_it_is():
    plan = with_log(plain(), *DRY)
    told = [
        way(batch, SHELF, 0.012, 0.011).bottles
        for batch in (plan, with_log(plain(), *DRY, Event(day=120.0, what=What.BOTTLED)))
    ]
    assert sum(lot.size * lot.number for lot in told[1]) >= sum(lot.size * lot.number for lot in told[0])
    assert {lot.size for lot in told[1]} == set(plan.recipe.bottles)

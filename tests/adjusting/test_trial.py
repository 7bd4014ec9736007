"""Trial glasses: doses exact in mass, stocks that a kitchen scale can measure, and a preference with honest doubt."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.adjusting.additions import liquid_of
from planner.adjusting.dosing import next_step, weighable
from planner.adjusting.preference import carried, preferred
from planner.adjusting.trial import (
    LEAST_APART,
    MOST_OF_GLASS,
    SCALE_MARK,
    STOCK_MASSES,
    SYRINGE_MARK,
    Dilution,
    Stock,
    new_trial,
    plan,
)
from planner.document.batch import Addition, Adjustment, Glass, Trial, TrialPart
from planner.model.liquid import Liquid, volume
from planner.model.span import Span
from planner.reference.catalogue import catalogue

SHELF = catalogue()
DRY = Liquid.of(water=18.0, ethanol=1.9, glycerol=0.14, malic=0.10, citric=0.05, other=0.20, fructose=0.02)
ROOM = float(volume(DRY))
POWDERS = ["erythritol", "xylitol", "maltodextrin-10", "sugar", "lactose", "malic-acid", "citric-acid", "sorbitol"]


def poured_plain(stock):
    """Share of mead in what is poured of a stock. [m^3/m^3]"""
    own = stock.plain / stock.made_up_to
    return own if stock.dilution is None else 1.0 - stock.dilution.share * (1.0 - own)


def tried(*parts, glasses=5, glass=1e-4):
    return new_trial([Addition(key=key, mass=dose * ROOM) for key, dose in parts], ROOM, glasses, glass)


def scored(*answers, what="score", dose=40.0):
    glasses = tuple(Glass(strength=s, **{what: v}) for s, v in answers)
    return Trial(parts=(TrialPart(key="erythritol", dose=dose),), glasses=glasses)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.sampled_from(POWDERS), min_size=1, max_size=2, unique=True),
    st.floats(2.0, 60.0), st.sampled_from([4, 5, 6]), st.sampled_from([50e-6, 100e-6, 150e-6]),
)  # fmt: skip
def test_that_each_glass_holds_its_dose_exactly_and_is_full(keys, dose, glasses, size):
    parts = [(key, dose * (0.05 if key.endswith("acid") else 1.0)) for key in keys]
    trial = tried(*parts, glasses=glasses, glass=size)
    made = plan(trial, DRY, SHELF)
    for pour in made.pours:
        plain, masses = pour.plain, []
        for stock, poured in zip(made.stocks, pour.stocks, strict=True):
            plain += poured * poured_plain(stock)
            masses.append(poured * stock.concentration)
        for mass, (_, full) in zip(masses, parts, strict=True):
            assert mass / plain == pytest.approx(full * pour.strength, rel=1e-9, abs=1e-12)
        # Put together from its masses it fills the glass: volumes of stocks do not quite add up.
        whole = DRY * (plain / ROOM)
        for mass, key in zip(masses, keys, strict=True):
            whole = whole + liquid_of(SHELF.additive(key), mass)
        assert float(volume(whole)) == pytest.approx(size, rel=3e-3)
        assert sum(pour.stocks) + pour.plain == pytest.approx(size, rel=1e-9)
        assert pour.plain >= 0.0
        assert all(poured >= 0.0 for poured in pour.stocks)


@pytest.mark.parametrize("key", [key for key in POWDERS if key != "lactose"])
def test_that_a_kitchen_scale_can_measure_the_stock(key):
    dose = 1.0 if key.endswith("acid") else 40.0
    made = plan(tried((key, dose)), DRY, SHELF)
    (stock,) = made.stocks
    assert stock.mass / SCALE_MARK == pytest.approx(round(stock.mass / SCALE_MARK), abs=1e-9)
    assert 0.45 * SCALE_MARK / stock.mass <= 0.10  # a gram scale misses it by less than a tenth
    assert all(left >= 0.0 for left in made.left)
    assert all(pour.doubt <= 0.25 for pour in made.pours)
    assert all(sum(pour.stocks) <= MOST_OF_GLASS * 1e-4 + 1e-12 for pour in made.pours)
    assert stock.concentration <= 300.0
    assert not any("dissolve" in doubt or "coarse" in doubt for doubt in made.doubts)


def test_that_a_stock_that_may_not_dissolve_is_told():
    # Lactose: 11 g in 100 g of cold solution, and less with alcohol.
    assert any("Lactose" in doubt for doubt in plan(tried(("lactose", 90.0)), DRY, SHELF).doubts)


def test_that_a_scale_too_coarse_is_told():
    assert any("coarse" in doubt for doubt in plan(tried(("malic-acid", 0.02), glass=5e-5), DRY, SHELF).doubts)


def test_that_the_plan_reads_as_worked_out_by_hand():
    # 40 g/L in a glass of 100 mL of which the erythritol takes 0.711 mL/g: 100 / 1.02844 mL of mead hold 3.889 g.
    trial = Trial(parts=(TrialPart(key="erythritol", dose=40.0),), glasses=(Glass(strength=1.0),))
    made = plan(trial, DRY, SHELF)
    (pour,) = made.pours
    assert pour.stocks[0] * made.stocks[0].concentration == pytest.approx(3.889e-3, rel=1e-3)
    assert made.drunk == pytest.approx(100e-6 / 1.02844, rel=1e-3)


def test_that_neighbours_that_cannot_be_told_apart_are_seen():
    fine = plan(tried(("erythritol", 3.0)), DRY, SHELF)
    plain = plan(tried(("erythritol", 50.0)), DRY, SHELF)
    assert all(pour.steps < 1.0 for pour in fine.pours)
    assert all(pour.steps > 1.0 for pour in plain.pours[1:])
    assert any("noticeable" in doubt for doubt in fine.doubts)


def test_that_the_doubt_is_that_of_scale_and_syringe():
    made = plan(tried(("erythritol", 40.0)), DRY, SHELF)
    (stock,), pour = made.stocks, made.pours[2]
    # A reading is off by up to half a mark, evenly: 0.45 of a mark nine times out of ten.
    assert stock.dilution is None
    by_hand = 0.45 * np.hypot(SCALE_MARK / stock.mass, SYRINGE_MARK / pour.stocks[0])
    assert pour.doubt == pytest.approx(by_hand, rel=1e-9)
    finer = plan(tried(("erythritol", 40.0)), DRY, SHELF, scale=1e-4, syringe=1e-7)
    assert finer.pours[2].doubt < 0.3 * pour.doubt


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(["tannin", "vanilla-extract", "malic-acid", "erythritol"]), st.floats(0.02, 3.0),
    st.floats(2e-3, 30e-3), st.sampled_from([4, 5, 6]), st.sampled_from([50e-6, 100e-6]),
)  # fmt: skip
def test_that_neighbouring_glasses_differ_by_what_can_be_measured_and_no_stock_takes_more_than_the_batch(
    key, dose, room, glasses, size
):
    mead = DRY * (room / ROOM)
    trial = new_trial([Addition(key=key, mass=dose * room)], room, glasses, size)
    made = plan(trial, mead, SHELF)
    (stock,) = made.stocks
    in_glasses = sum(pour.stocks[0] for pour in made.pours) * stock.concentration
    if dose * room >= STOCK_MASSES[0]:
        assert stock.mass <= max(dose * room, in_glasses) * (1.0 + 1e-9)
    poured = [pour.stocks[0] for pour in made.pours]
    if stock.mass >= in_glasses:  # else the whole batch would get less than the glasses
        assert min(np.diff(poured)) >= LEAST_APART * (1.0 - 1e-9)
        assert all(left >= -1e-12 for left in made.left)
    assert max(poured) <= MOST_OF_GLASS * size + 1e-12


def test_that_a_weak_flavour_in_a_small_batch_is_diluted_into_glasses_that_differ():
    # 0.1 g/L in five litres: half a gram in all. A stock of 5 g would be ten times that.
    mead = DRY * (0.005 / ROOM)
    made = plan(new_trial([Addition(key="tannin", mass=0.5e-3)], 0.005, 5), mead, SHELF)
    (stock,) = made.stocks
    assert stock.mass <= 0.5e-3
    assert len({round(pour.stocks[0] * 2e6) for pour in made.pours}) == 5  # by the half millilitre
    assert any("coarse" in doubt for doubt in made.doubts)  # a gram scale cannot weigh it, and that is said


def test_that_what_is_diluted_keeps_its_substance():
    thin = Stock("tannin", "Tannin", 5e-3, 1e-4, 98e-6, Dilution(10e-6, 1e-4))
    assert thin.concentration == pytest.approx(5.0)  # 5 g in 100 mL, ten times thinner
    assert poured_plain(thin) == pytest.approx(0.998)
    assert thin.mead == pytest.approx(98e-6 + 90e-6)
    assert thin.volume == pytest.approx(190e-6)


def test_that_nothing_to_try_is_told():
    with pytest.raises(ValueError, match="add an addition"):
        new_trial([], ROOM)
    with pytest.raises(ValueError, match="4 to 6"):
        tried(("sugar", 10.0), glasses=9)


# --- preference


def test_that_the_middle_of_a_hill_of_scores_is_preferred():
    liked = preferred(scored((0.0, 3), (0.5, 6), (1.0, 8), (1.5, 6), (2.0, 3)))
    assert liked.strength.typical == pytest.approx(1.0, abs=0.05)  # by symmetry
    assert liked.strength.low < 1.0 < liked.strength.high
    assert not liked.at_edge
    assert liked.answered == 5


def test_that_ranks_say_the_same_as_scores_in_that_order():
    ranked = preferred(scored((0.0, 5), (0.5, 2), (1.0, 1), (1.5, 3), (2.0, 4), what="rank"))
    assert 0.6 < ranked.strength.typical < 1.3


def test_that_less_agreement_is_more_doubt():
    clear = preferred(scored((0.0, 1), (0.5, 6), (1.0, 9), (1.5, 6), (2.0, 1))).strength
    vague = preferred(scored((0.0, 5), (0.5, 5.5), (1.0, 6), (1.5, 5.5), (2.0, 5))).strength
    assert vague.high - vague.low > 1.5 * (clear.high - clear.low)


def test_that_a_best_glass_at_the_edge_asks_for_another_trial():
    liked = preferred(scored((0.0, 1), (0.5, 3), (1.0, 6), (1.5, 9.5)))
    assert liked.at_edge
    assert liked.strength.high <= 1.5


@pytest.mark.parametrize("answers", [[], [(0.0, 5)], [(0.0, 5), (1.0, 6)], [(0.0, 5), (0.5, 5), (1.0, 5)]])
def test_that_too_few_answers_are_no_preference(answers):
    assert preferred(scored(*answers)) is None


@settings(max_examples=25, deadline=None)
@given(st.floats(0.2, 1.3), st.floats(2.0, 8.0), st.integers(0, 1000))
def test_that_a_hidden_preference_lies_in_its_interval_mostly(best, fall, seed):
    strengths = np.array([0.0, 0.4, 0.7, 1.0, 1.3, 1.6])
    noise = np.random.default_rng(seed).normal(0.0, 0.3, 6)  # a steady taster: a third of the noise that is assumed
    scores = np.clip(8.0 - fall * (strengths - best) ** 2 + noise, 0.0, 10.0)
    liked = preferred(scored(*zip(strengths, scores, strict=True)))
    assert liked.strength.low - 0.15 <= best <= liked.strength.high + 0.15


def test_that_the_dose_is_carried_to_what_is_left():
    liked = preferred(scored((0.0, 3), (0.5, 6), (1.0, 8), (1.5, 6), (2.0, 3)))
    (whole,) = carried(scored(dose=40.0), liked, Span.exactly(0.020))
    (less,) = carried(scored(dose=40.0), liked, Span.exactly(0.019))
    # 40 g/L in 20 L are 800 g.
    assert whole.mass.typical == pytest.approx(0.800 * liked.strength.typical, rel=1e-9)
    assert less.mass.typical == pytest.approx(whole.mass.typical * 0.95, rel=1e-9)
    assert whole.mass.low < whole.mass.typical < whole.mass.high
    (wider,) = carried(scored(dose=40.0), liked, Span(0.016, 0.020, 0.024), doubts=[0.1])
    assert wider.mass.high > whole.mass.high
    assert wider.mass.low < whole.mass.low


# --- steps


def test_that_three_steps_reach_the_plan():
    wanted = Adjustment(additions=(Addition(key="erythritol", mass=0.5),))
    so_far = {}
    for share, expected in ((0.6, 0.300), (0.5, 0.100), (1.0, 0.100)):
        (step,) = next_step(wanted, so_far, share)
        assert step.next == pytest.approx(expected)
        so_far["erythritol"] = so_far.get("erythritol", 0.0) + step.next
    (done,) = next_step(wanted, so_far, 1.0)
    assert done.next == pytest.approx(0.0, abs=1e-12)


def test_that_the_next_step_counts_what_was_really_given():
    wanted = Adjustment(additions=(Addition(key="erythritol", mass=0.3), Addition(key="erythritol", mass=0.2)))
    (step,) = next_step(wanted, {"erythritol": 0.35}, 1.0)
    assert (step.planned, step.given) == (0.5, 0.35)
    assert step.next == pytest.approx(0.15)
    (over,) = next_step(wanted, {"erythritol": 0.6}, 1.0)
    assert over.next == over.left == 0.0


@given(st.floats(0.002, 50.0))
def test_that_a_dose_as_it_is_weighed_is_the_dose(mass):
    assert weighable(mass) == pytest.approx(mass, rel=5e-3)
    assert weighable(weighable(mass)) == weighable(mass)

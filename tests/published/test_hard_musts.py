"""What acid, cold, heat, strength and little yeast do to a ferment, in direction and size."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from example_batches import SHELF

from planner.model.cardinal import Cardinal, by_ph, by_temperature
from planner.model.hardship import by_acid, by_benzoic, undissociated
from planner.model.liquid import alcohol, gravity
from planner.model.scales import gravity_from_brix
from planner.model.span import Span
from published.rows import READ, RECALLED, table
from published.strong_musts import ALL, band, day_used, ferment

CELSIUS = 273.15
CEREVISIAE = Cardinal(2.5 + CELSIUS, 32.3 + CELSIUS, 45.4 + CELSIUS)
UVARUM = Cardinal(2.0 + CELSIUS, 26.2 + CELSIUS, 38.4 + CELSIUS)
KUDRIAVZEVII = Cardinal(4.3 + CELSIUS, 23.6 + CELSIUS, 36.8 + CELSIUS)

TEMPERATURE = "Growth by temperature beside the best"


@pytest.mark.parametrize("row", table(TEMPERATURE, "rosso-1993", RECALLED, 0.0005, [
    (20.0, 0.601), (12.0, 0.218), (32.3, 1.0), (45.4, 0.0), (2.5, 0.0), (50.0, 0.0)]))  # fmt: skip
def test_that_growth_by_temperature_is_that_of_the_formula(row, agrees):
    agrees(row, by_temperature(row.given[0] + CELSIUS, CEREVISIAE))


@pytest.mark.parametrize("row", table(TEMPERATURE, "salvado-2011", READ, 0.0, [
    ("uvarum", 10.0, (1.3, 1.6)), ("uvarum", 12.0, (1.3, 1.5)), ("uvarum", 28.0, (0.5, 1.0)),
    ("kudriavzevii", 12.0, (1.3, 2.0)), ("kudriavzevii", 28.0, (0.5, 1.0))], unit="relative"))  # fmt: skip
def test_that_yeasts_of_the_cold_outgrow_others_there_and_not_in_the_warmth(row, agrees):
    # Their growth at its best, 0.85 and 0.75 of the other's, is an estimate that stands beside the abstract's temperatures.
    kind, celsius = row.given
    own, best = (UVARUM, 0.85) if kind == "uvarum" else (KUDRIAVZEVII, 0.75)
    t = celsius + CELSIUS
    agrees(row, best * by_temperature(t, own) / by_temperature(t, CEREVISIAE))


ACID = "Growth by pH"


@pytest.mark.parametrize(
    "row", table(ACID, "rosso-1995", RECALLED, 0.0005, [(3.0, 0.656), (2.5, 0.383), (4.0, 0.948), (4.7, 1.0)])
)
def test_that_growth_by_ph_is_that_of_the_formula(row, agrees):
    agrees(row, by_ph(row.given[0]))


# "No significant effect" of 22 strains: less than the fifth by which their growth rates scatter (estimate).
@pytest.mark.parametrize("row", table(ACID, "charoenchai-1998", READ, 0.0, [(3.0, (0.8, 1.0)), (3.5, (0.8, 1.0)), (4.0, (0.8, 1.0))],
                                      unit="relative"))  # fmt: skip
def test_that_acid_from_three_to_four_makes_no_great_difference(row, agrees):
    agrees(row, by_acid(row.given[0]))


# All grow even at 2.5; 2.75 and 2.5 are clearly worse than 3.0 and 4.5.
@pytest.mark.parametrize("row", table(ACID, "liu-2015", READ, 0.0, [(2.5, (0.1, 0.7)), (2.75, (0.3, 0.8)), (4.5, (0.95, 1.0))],
                                      unit="relative"))  # fmt: skip
def test_that_acid_below_three_is_clearly_worse_but_not_the_end(row, agrees):
    agrees(row, by_acid(row.given[0]))


WEAK = "Weak acids against yeast"


@pytest.mark.parametrize("row", table(WEAK, "lambert-stratford", READ, 0.0006, [
    (2.6, 0.975), (2.8, 0.962), (3.0, 0.941), (3.2, 0.909), (3.4, 0.863), (3.6, 0.799), (3.8, 0.715), (4.0, 0.613)]))  # fmt: skip
def test_that_so_much_of_benzoic_acid_is_undissociated(row, agrees):
    agrees(row, undissociated(row.given[0]))


# Of a juice with 600, 900 and 1300 mg/L, at pH 3.1 of the mix: the shares up to which there is no delay, and near a stop.
@pytest.mark.parametrize("row", table(WEAK, "visti-2003", RECALLED, 0.0, [
    (600.0, 0.11, (0.85, 1.0)), (900.0, 0.07, (0.85, 1.0)), (1300.0, 0.05, (0.85, 1.0)),
    (600.0, 0.22, (0.3, 0.8)), (900.0, 0.14, (0.3, 0.8)), (600.0, 0.32, (0.0, 0.15)), (900.0, 0.22, (0.0, 0.15))],
    unit="relative"))  # fmt: skip
def test_that_lingonberry_slows_by_its_share(row, agrees):
    juice, share = row.given
    agrees(row, by_benzoic(juice / 1e3 * share, 3.1))


STRAINS = list(SHELF.yeasts)
COLD_TO_HOT = (8.0, 12.0, 18.0, 26.0, 31.0)


@pytest.mark.parametrize("ph", [(2.6, 2.9), (2.9, 3.2)])
def test_that_a_sourer_must_starts_later_and_takes_longer(ph):
    sour, milder = (ferment(210.0, ph=value) for value in ph)
    for share in (0.05, 0.5, 0.95):
        assert day_used(sour, share) > day_used(milder, share)


def test_that_at_two_and_a_half_the_lag_is_about_four_times_as_long_and_above_three_it_is_as_usual():
    # Liu et al. 2015 in kind: clearly longer at 2.5 and 2.75, not at 3.0; the factor is this project's.
    began = {ph: day_used(ferment(210.0, ph=ph), 0.02) for ph in (2.5, 2.75, 3.0, 3.3, 3.6)}
    assert began[2.5] > 2.0 * began[3.3]
    assert began[2.75] > 1.3 * began[3.3]
    assert began[3.0] < 1.35 * began[3.3]
    assert began[3.6] == began[3.3]


def test_that_a_juice_of_three_quarters_of_that_sourness_still_ferments_dry():
    # J. Agric. Food Chem. 68, 10128, 2020: blackcurrant juice of pH 2.96 ferments to dryness.
    course = ferment(180.0, ph=2.96)
    assert day_used(course, 0.97) < 40.0


@pytest.mark.parametrize("yeast", STRAINS)
def test_that_each_yeast_is_slower_outside_its_range_than_inside(yeast):
    row = SHELF.yeast(yeast)
    inside = day_used(ferment(210.0, row.t_best - CELSIUS, yeast=yeast), 1 / 3)
    began = day_used(ferment(210.0, row.t_best - CELSIUS, yeast=yeast), 0.02)
    for celsius in COLD_TO_HOT:
        if celsius + CELSIUS < row.t_low:
            cold = ferment(210.0, celsius, yeast=yeast)
            assert day_used(cold, 1 / 3) > 1.3 * inside
            assert day_used(cold, 0.02) > 1.3 * began
        if celsius + CELSIUS > row.t_high + 3.0:
            hot = ferment(210.0, celsius, yeast=yeast)
            assert (
                hot.sugar[-1, 0] > ferment(210.0, row.t_best - CELSIUS, yeast=yeast).sugar[-1, 0] + 4.0
            )  # sticks (OIV: dry)


@pytest.mark.parametrize("yeast", STRAINS)
def test_that_outside_its_range_less_is_known(yeast):
    row = SHELF.yeast(yeast)

    def spread(celsius):
        days = ferment(210.0, celsius, yeast=yeast, members=ALL)
        low, high = np.percentile(days.gravity[:, 1:], [5.0, 95.0], axis=1)
        return float(np.max(high - low))

    assert spread(row.t_low - CELSIUS - 3.0) > 1.05 * spread(row.t_best - CELSIUS)


def test_that_the_yeast_of_cellars_is_the_quicker_one_in_the_cold_and_the_slower_in_the_warmth():
    def thirds(celsius):
        return [day_used(ferment(210.0, celsius, yeast=yeast), 1 / 3) for yeast in ("cool-clean", "all-rounder")]

    for celsius in (8.0, 12.0):
        cellar, usual = thirds(celsius)
        assert cellar < usual
    for celsius in (18.0, 26.0):
        cellar, usual = thirds(celsius)
        assert cellar > usual


def test_that_below_ten_degrees_all_but_cellar_yeasts_are_extremely_slow():
    # Ough & Amerine 1966: extremely slow below 10 °C. Weeks to the first third, which takes three days at 20 °C.
    for yeast in set(STRAINS) - {"cool-clean"}:
        assert day_used(ferment(210.0, 8.0, yeast=yeast), 1 / 3) > 3.0 * day_used(
            ferment(210.0, 20.0, yeast=yeast), 1 / 3
        )


GRAVITIES = (1.060, 1.080, 1.100, 1.120, 1.140, 1.160, 1.180, 1.200)


def test_that_the_stronger_the_must_the_later_and_slower_and_from_a_point_on_the_weaker_the_mead():
    sugars = [2600.0 * (gravity - 1.0) for gravity in GRAVITIES]
    courses = [ferment(sugar, yeast="dry-finisher", nitrogen=0.25) for sugar in sugars]
    for light, strong in itertools.pairwise(courses):
        assert day_used(strong, 1 / 3) > day_used(light, 1 / 3)
    strength = [float(alcohol(course.finished)[0]) for course in courses]
    most = int(np.argmax(strength))
    assert np.all(np.diff(strength[: most + 1]) > 0.0)
    assert np.all(np.diff(strength[most:]) < 0.0)
    assert strength[-1] < strength[most] - 0.03


def test_that_the_band_widens_with_strength():
    def spread(sugar):
        return Span.of(alcohol(ferment(sugar, yeast="dry-finisher", nitrogen=0.25, members=ALL).finished))

    known, strong = spread(230.0), spread(480.0)
    assert strong.high - strong.low > 2.0 * (known.high - known.low)


PITCH = "A tenth and a hundredth of the yeast"


# Days later: a pure exponential says 1.0 and 2.0; a hundredth "2 to 4 days"; the lag itself is longer, too (common practice).
@pytest.mark.parametrize(
    "row", table(PITCH, "erten-2006", RECALLED, 0.0, [(0.1, (0.9, 2.5)), (0.01, (2.0, 4.5))], unit="days later")
)
def test_that_little_yeast_is_days_later(row, agrees):
    usual, little = (ferment(210.0, pitch=0.25 * share) for share in (1.0, row.given[0]))
    agrees(row, day_used(little, 0.1) - day_used(usual, 0.1))


@pytest.mark.parametrize("share", [0.1, 0.01])
def test_that_little_yeast_reaches_the_same_alcohol_in_a_rich_must_but_may_stop_early(share):
    usual, little = (ferment(210.0, pitch=0.25 * part, members=ALL) for part in (1.0, share))
    ends = [Span.of(alcohol(course.finished)) for course in (usual, little)]
    assert ends[1].typical == pytest.approx(ends[0].typical, abs=0.004)
    assert ends[1].low < ends[0].low


STRONG = "Ferments of very strong musts"
SUGAR_AT = {
    37.0: 405.0,
    42.0: 475.0,
    52.5: 640.0,
}  # °Bx of ice-wine juices, of whose solids about 95 % are sugar (estimate) [kg/m^3]


def _coleman():
    # Coleman, Fish & Block 2007, second data set: 265 g/L, 80 mg/L of nitrogen, 15 °C; above 70 g/L after 600 h, stuck.
    course = ferment(265.0, 15.0, nitrogen=0.08, ph=3.3, yeast="dry-finisher", members=ALL)
    return band(course, course.sugar, 25.0), (70.0, 75.0)


def _ice_wine(brix, nitrogen=0.25):
    return ferment(SUGAR_AT[brix], 16.0, 0.5, nitrogen, Span(3.1, 3.3, 3.5), "dry-finisher", members=ALL)


def _ontario():
    course = _ice_wine(37.0)  # usually 9 to 12 % vol in two to six weeks at 15 to 18 °C (from memory)
    return band(course, course.alcohol, 28.0), (0.09, 0.12)


def _new_york():
    return Span.of(gravity(_ice_wine(37.0).finished)), (float(gravity_from_brix(19.5)), float(gravity_from_brix(20.5)))


def _kontkanen():
    course = _ice_wine(37.0)  # Kontkanen et al. 2004 (from memory): 0.5 g/L of yeast, woken stepwise, reaches 10 % vol
    return band(course, course.alcohol, 21.0), (0.098, 0.102)


def _pigeau():
    return Span.of(alcohol(_ice_wine(42.0).finished)), (
        0.098,
        0.102,
    )  # above 42 °Bx 10 % vol was not reached (from memory)


def _no_ferment():
    return Span.of(alcohol(_ice_wine(52.5).finished)), (0.0, 0.005)  # extrapolated (from memory)


def _sweet_mead():
    # Steinkraus & Morse 1966: sweet meads of 14 to 15 % vol, with salts, vitamins and nitrogen.
    course = ferment(330.0, 22.0, 0.3, 0.25, yeast="all-rounder", glucose=0.44, members=ALL)
    return Span.of(alcohol(course.finished)), (0.143, 0.147)


def _herbs():
    # Blanco et al.: meads with herbs came to 13.3 to 13.9 % vol.
    return Span.of(alcohol(ferment(240.0, 25.0, 0.3, glucose=0.44, members=ALL).finished)), (0.133, 0.139)


def _mash():
    # Thomas & Ingledew 1992 (from memory): wheat mash of 38 g/100 mL, fed; 23.8 % vol in 8 days at 20 °C. No yeast of the shelf.
    course = ferment(380.0, 20.0, 1.0, 0.4, 5.0, "dry-finisher", members=ALL)
    return band(course, course.alcohol, 8.0), (0.235, 0.241)


def _crowded():
    # Nagodawithana & Steinkraus 1976: honey of 25 °Bx with 7e8 cells/mL; 12 % vol in 6 h at 15 °C with air.
    course = ferment(265.0, 15.0, 35.0, 0.3, 4.0, "dry-finisher", members=ALL)
    return band(course, course.alcohol, 0.25), (0.115, 0.125)


FERMENTS = (_coleman, _ontario, _new_york, _kontkanen, _pigeau, _no_ferment, _sweet_mead, _herbs, _mash, _crowded)


def test_that_eight_of_ten_published_ferments_of_strong_musts_lie_in_the_band():
    outside = []
    for told in FERMENTS:
        found, (low, high) = told()
        if not (found.low <= high and low <= found.high):
            outside.append((told.__name__, found, (low, high)))
    assert len(outside) <= 2, outside

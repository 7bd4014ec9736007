"""What stays dissolved: erythritol by the estimates for the cold, and what is said of a dose beyond them."""

from __future__ import annotations

import pytest
from example_batches import SHELF, plain, worked_out

from planner.adjusting.mead import mead
from planner.adjusting.mead_findings import mead_findings
from planner.adjusting.solubility import dissolves
from planner.document.batch import Addition, Adjustment, Batch
from planner.model.liquid import Liquid, volume
from planner.wording.finding import Level

ERYTHRITOL = SHELF.additive("erythritol")
FINISH = worked_out(plain()).finish


# Ceilings of erythritol in g/L at 4 °C and 15 °C by % vol: water curve of a two-point van 't Hoff fit (20 °C 35 to 37 %,
# 80 °C 75 % by mass), lowered log-linearly towards "very slightly soluble" in ethanol of 96 % (pharmacopoeia class).
@pytest.mark.parametrize(("percent", "cold", "cellar"), [(12, 110, 150), (14, 97, 130), (16, 84, 114), (18, 74, 100)])
def test_that_erythritol_dissolves_as_estimated(percent, cold, cellar):
    found = dissolves(ERYTHRITOL, percent / 100)
    assert (found.cold, found.cellar) == pytest.approx((cold, cellar))


# The same estimate: warn above 90 g/L up to 14 % vol, above 70 g/L in stronger meads.
@pytest.mark.parametrize(("percent", "warn"), [(8, 90), (12, 90), (14, 90), (14.1, 70), (16, 70), (20, 70)])
def test_that_the_warning_comes_before_the_ceiling(percent, warn):
    found = dissolves(ERYTHRITOL, percent / 100)
    assert found.warn == warn
    assert found.warn < found.cold


def test_that_what_ferments_or_is_not_known_has_no_ceiling():
    assert dissolves(SHELF.additive("honey"), 0.12) is None
    assert dissolves(SHELF.additive("glycerol"), 0.12) is None
    # Lactose: 11 g in 100 g of solution in the cold (from memory), half of it in mead by estimate.
    assert dissolves(SHELF.additive("lactose"), 0.12).cold == pytest.approx(55.0)


def said_of(dose, percent):
    """Findings on so much erythritol [g/L] in a finished mead of about such a strength [% vol]."""
    base = Liquid.of(water=18.0, ethanol=0.165 * percent, other=0.2)
    # Volume grows by 0.711 mL for each gram: apparent volume of alditols in water.
    mass = 1e-3 * dose * float(volume(base)) * 1e3 / (1.0 - 0.711e-3 * dose)
    adjustment = Adjustment(additions=(Addition(key="erythritol", mass=mass),))
    made = mead(adjustment, Liquid(base.masses[:, None]), True, SHELF)
    assert mass / made.after.volume.typical == pytest.approx(dose, rel=0.02)
    batch = Batch(name="Sweet", recipe=plain().recipe, adjustment=adjustment)
    found = mead_findings(batch, SHELF, made, FINISH)
    return made.after.alcohol.typical, [f for f in found if "in the finished mead" in str(f.text)]


@pytest.mark.parametrize(
    ("dose", "percent", "level"),
    [
        (80, 13, None), (95, 13, Level.WARNING), (120, 13, Level.ERROR), (180, 14, Level.ERROR),
        (65, 18, None), (73, 18, Level.WARNING), (90, 18, Level.ERROR),
    ],
)  # fmt: skip
def test_that_a_dose_is_warned_of_and_then_called_wrong_but_never_refused(dose, percent, level):
    strength, found = said_of(dose, percent)
    assert (strength <= 0.14) == (percent < 15)
    assert [f.level for f in found] == ([] if level is None else [level])
    assert all(f.place == "adjustment.additions.0" for f in found)


def test_that_what_a_cellar_does_not_dissolve_either_is_told():
    assert "even at 15 °C" in str(said_of(180, 14)[1][0].text)
    assert "15 °C" not in str(said_of(120, 13)[1][0].text)

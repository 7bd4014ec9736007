"""Sorbate: how much works at a pH, and that a usual dose stays within the laws where it can."""

from __future__ import annotations

import numpy as np

from planner.model import sorbate


def test_that_less_works_in_milder_mead():
    shares = sorbate.undissociated_share(np.linspace(2.8, 4.5, 20))
    assert np.all(np.diff(shares) < 0.0)
    assert sorbate.undissociated_share(sorbate.SORBIC_PK) == 0.5  # what a pK is


def test_that_the_usual_dose_is_that_of_the_trade():
    # 0.20 to 0.27 g/L of potassium sorbate (University of California, Davis; practical doses).
    dose = sorbate.usual_dose(3.4, 1.0)
    assert round(dose.low, 2) == 0.20
    assert round(dose.high, 2) == 0.27


def test_that_the_usual_dose_of_sour_mead_is_lawful_and_that_of_mild_mead_is_told_apart():
    strictest = min(limit.value for limit in sorbate.LIMITS)
    assert sorbate.sorbic_acid(sorbate.usual_dose(3.4, 0.02).high, 0.02) <= strictest + 1e-12
    assert sorbate.sorbic_acid(sorbate.usual_dose(4.3, 0.02).high, 0.02) > strictest

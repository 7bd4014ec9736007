"""A refractometer in use: compensation, musts that are not sucrose, and honey."""

from __future__ import annotations

import numpy as np
import pytest

from planner.model.liquid import Liquid, gravity
from planner.model.refraction import apparent_brix
from planner.model.refractometer import brix_at_twenty, must_gravity
from planner.model.scales import gravity_from_brix


def test_that_an_instrument_that_compensates_is_believed():
    assert brix_at_twenty(18.0, 300.0, compensated=True) == 18.0


def test_that_a_warm_drop_shows_too_little():
    assert brix_at_twenty(15.0, 298.15) == pytest.approx(15.38, abs=0.01)  # correction of 0.38: OIV table, from memory


def test_that_mead_is_corrected_more_than_must():
    def spirit(brix):
        p = np.full_like(brix, 0.1)
        return Liquid.of(water=0.9, ethanol=p, glucose=np.zeros_like(p))

    shown = np.array([6.0])
    mead = brix_at_twenty(shown, np.array([303.15]), spirit)
    must = brix_at_twenty(shown, np.array([303.15]))
    assert mead > must > shown


def test_that_a_must_of_sucrose_has_the_gravity_of_its_brix():
    syrup = Liquid.of(water=0.8, sucrose=0.2)
    _, typical, _ = must_gravity(np.array([10.0, 20.0, 30.0]), syrup)
    # The index by masses meets the scale within 0.003 °Brix, of which each is 0.0042 of gravity.
    assert typical == pytest.approx(gravity_from_brix(np.array([10.0, 20.0, 30.0])), abs=1.3e-5)


def test_that_a_must_of_honey_is_heavier_than_its_brix_says():
    """Invert sugar bends light less than sucrose: the analysts add up to 2 % (ICUMSA), so nothing may be missing here."""
    honey = Liquid.of(water=0.6, glucose=0.09, fructose=0.11)
    typical = float(must_gravity(20.0, honey)[1])
    assert gravity_from_brix(20.0) < typical < gravity_from_brix(20.6)


def test_that_doubt_about_other_extract_widens_the_interval():
    plain = Liquid.of(water=0.85, glucose=0.06, fructose=0.06)
    fruity = plain + Liquid.of(other=0.02)
    widths = [float(np.ptp(must_gravity(12.0, must, doubt=0.1))) for must in (plain, fruity)]
    assert 0.0007 < widths[0] < widths[1]  # 0.1 °Brix are 0.0004 of gravity, on either side


def test_that_a_reading_of_nothing_is_water():
    must = Liquid.of(water=0.8, glucose=0.2)
    assert float(must_gravity(0.0, must)[1]) == pytest.approx(1.0, abs=2.5e-5)  # the scale's 0.005 °Brix of water


def test_that_several_readings_keep_their_shape():
    must = Liquid.of(water=0.8, glucose=0.2)
    assert must_gravity(np.array([10.0, 12.0]), must).shape == (3, 2)
    assert must_gravity(12.0, must).shape == (3,)
    assert float(gravity(must)) > float(must_gravity(apparent_brix(must) - 0.1, must)[1])

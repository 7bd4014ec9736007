"""Scale to another harvest or vessel: everything together, and words for what does not scale."""

from __future__ import annotations

import pytest
from example_batches import SHELF, plain, worked_out

from planner.document.batch import Preparation, Wish
from planner.document.edits import EditRefused, scaled
from planner.planning.scaling import factor_for_fruit, factor_for_vessel, what_does_not_scale
from planner.recipe.vessels import FOAM_ROOM


def test_that_another_harvest_gives_the_factor():
    assert factor_for_fruit(plain(), 18.0) == pytest.approx(1.5)
    assert factor_for_fruit(plain(fruits=()), 18.0) is None


@pytest.mark.parametrize("whole", [False, True])
def test_that_a_batch_scaled_to_a_vessel_fills_it_to_the_foam_or_the_cap(whole):
    batch = plain(preparation=Preparation(whole=whole))
    factor = factor_for_vessel(batch, SHELF, worked_out(batch).must.volume.typical, 0.060)
    after = scaled(batch, factor)
    again = factor_for_vessel(after, SHELF, worked_out(after).must.volume.typical, 0.060)
    assert again == pytest.approx(1.0)
    if not whole:
        assert worked_out(after).must.volume.typical == pytest.approx((1.0 - FOAM_ROOM) * 0.060)


def test_that_strength_and_sweetness_do_not_change_when_a_batch_is_scaled():
    small, large = worked_out(plain()), worked_out(scaled(plain(), 3.0))
    assert large.must.gravity.typical == pytest.approx(small.must.gravity.typical)
    assert large.finish.alcohol.typical == pytest.approx(small.finish.alcohol.typical, abs=1e-6)
    assert large.must.volume.typical == pytest.approx(3.0 * small.must.volume.typical)


def test_that_the_wished_volume_scales_too():
    assert scaled(plain(wish=Wish(volume=0.020)), 2.5).recipe.wish.volume == pytest.approx(0.050)


def test_that_what_does_not_scale_is_told():
    told = " ".join(map(str, what_does_not_scale(plain(preparation=Preparation(press=0.01)), SHELF, 4.0)))
    assert "about 4 of 5 g" in told  # 20 g of yeast
    assert "The vessel stays at 30 L" in told
    assert "loads" in told


def test_that_no_batch_is_scaled_by_nothing():
    with pytest.raises(EditRefused):
        what_does_not_scale(plain(), SHELF, 0.0)

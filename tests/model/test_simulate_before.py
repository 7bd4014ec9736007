"""Speed is no reason for another result: sixteen musts as the planner had them when it still ran a must once for each question.

`ferments-before.json` holds what four sample recipes and twelve random ones gave the integrator, and what it made of them: an
adaptive run in arrays for each feed, for the days to draw and for the curve. Sugar is allowed what is stated for a single run,
1e-4 of gravity, and the days on which a share is used one part in a thousand.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from planner.model.added_substances import Dose
from planner.model.kinetics import Culture
from planner.model.simulate import day_when_used, ferment

BEFORE = json.loads((Path(__file__).parents[1] / "data/ferments-before.json").read_text(encoding="utf-8"))
SUGAR_OF_STATED_ERROR = 0.25  # 1e-4 of gravity [kg/m^3]


def again(before, doses):
    return ferment(
        before["glucose"], before["fructose"], before["nitrogen"], Culture(*before["culture"]), before["schedule"], doses, 150.0
    )  # fmt: skip


@pytest.mark.parametrize("before", BEFORE, ids=lambda before: before["name"])
def test_that_a_must_ferments_as_before(before):
    found = again(before, [Dose(*dose) for dose in before["doses"]])
    sugar = found.course(np.array(before["days"])).sugar[:, 0]
    assert sugar == pytest.approx(before["sugar"], abs=SUGAR_OF_STATED_ERROR)
    fine = found.course(np.linspace(0.0, 150.0, 15001))
    for share, day in before["used"]:
        assert day_when_used(fine, share) == pytest.approx(day, rel=1e-3), share


@pytest.mark.parametrize("before", BEFORE, ids=lambda before: before["name"])
def test_that_many_at_once_ferment_as_the_one_before(before):
    many = {**before, "glucose": np.full(3, before["glucose"]), "fructose": np.full(3, before["fructose"])}
    found = again(many, [Dose(*dose) for dose in before["doses"]]).course(np.array(before["days"]))
    for member in range(3):
        assert found.sugar[:, member] == pytest.approx(before["sugar"], abs=SUGAR_OF_STATED_ERROR)


@pytest.mark.parametrize("before", [b for b in BEFORE if b["doses"]], ids=lambda before: before["name"])
def test_that_a_dose_for_a_share_of_the_sugar_falls_on_the_day_of_that_share(before):
    share, day = before["used"][1]
    doses = [Dose(*dose) for dose in before["doses"]]
    found = again(before, [*doses, Dose(None, 0.0, share), Dose(None, 0.0, 2.0)])
    assert found.given[: len(doses)] == tuple(dose.day for dose in doses)
    assert found.given[-2] == pytest.approx(day, rel=1e-3)
    assert found.given[-1] is None  # twice the sugar is never used

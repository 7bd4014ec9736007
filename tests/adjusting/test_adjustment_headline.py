"""The headline of a mead that is being adjusted: danger first, no tasting of preservatives, and what follows from what is in."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from example_batches import SHELF, plain, read, sugar_test, with_adjustment, with_log, worked_out

from planner.document.batch import Addition, Event, Glass, HouseRules, Trial, TrialPart, What
from planner.document.codec import decode
from planner.document.edits import add_trial, change_adjustment
from planner.wording.finding import Level

RASPBERRY = decode((Path(__file__).parents[2] / "samples" / "raspberry-finished.meadbatch").read_bytes())
HONEY = ("honey", 0.8)
SALTS = (("potassium-metabisulphite", 0.0023), ("potassium-sorbate", 0.0049))
ERYTHRITOL = ("erythritol", 0.7)


def chosen(*additions, batch=RASPBERRY, **fields):
    lines = tuple(Addition(key=key, mass=mass) for key, mass in additions)
    return change_adjustment(batch, additions=lines, **fields)


def given(batch, *doses):
    events = tuple(Event(at="2026-05-02T12:00+02:00", what=What.DOSE, key=key, mass=mass) for key, mass in doses)
    log = msgspec.structs.replace(batch.log, readings=(*batch.log.readings, *events))
    return msgspec.structs.replace(batch, log=log)


def ruled(batch, **rules):
    return msgspec.structs.replace(batch, recipe=msgspec.structs.replace(batch.recipe, rules=HouseRules(**rules)))


def head(batch, members=60):
    return worked_out(batch, members).headline


def test_that_sugar_for_living_yeast_is_the_headline():
    said = head(chosen(HONEY))
    assert said.stage == "adjust"
    assert str(said.sentence).startswith("Do not bottle this yet: up to ")
    assert "would burst any bottle" in str(said.sentence)
    assert "Stabilise first" in str(said.next)
    assert "glass" not in str(said.next)


SITUATIONS = {
    "honey": chosen(HONEY), "honey and salts": chosen(*SALTS, HONEY), "honey in": given(chosen(HONEY), HONEY),
    "honey in beyond any plan": given(RASPBERRY, HONEY), "little honey": chosen(("honey", 0.1)),
    "kept": chosen(HONEY, stabilised=True), "sweetener": chosen(ERYTHRITOL), "salts": chosen(*SALTS),
    "sweet by measure": chosen(batch=RASPBERRY, gravity=1.020),
    "fruit sugar in the cold": chosen(("fructose", 0.3), serving_temperature=278.15),
}  # fmt: skip


@pytest.mark.parametrize("name", SITUATIONS)
def test_that_an_error_of_stillness_is_in_the_headline_whenever_it_is_among_the_findings(name):
    outcome = worked_out(SITUATIONS[name], 60)
    grave = [f for f in outcome.findings if f.level == Level.ERROR and "can still ferment" in str(f.text)]
    assert bool(grave) == str(outcome.headline.sentence).startswith("Do not bottle this yet")


def test_that_the_way_out_follows_what_is_chosen_and_what_is_in():
    assert str(head(chosen(*SALTS, HONEY)).next).startswith("Stir in sulphite and sorbate first")
    assert str(head(given(chosen(*SALTS, HONEY), *SALTS)).next).startswith("Sulphite and sorbate are in")
    heated = chosen(HONEY, stabilising="heat")
    assert "pasteurise it in the bottles at once" in str(head(heated).next)
    assert str(head(given(heated, HONEY)).next).startswith("Fill the bottles and pasteurise them at once")
    assert str(head(given(chosen(HONEY), HONEY)).next).startswith(
        "Keep it under an airlock, it may start again: stabilise it"
    )
    assert str(head(chosen(batch=RASPBERRY, gravity=1.020)).next).startswith("Let it finish, or stabilise it")


def test_that_the_way_out_obeys_the_house_rules():
    strict = ruled(chosen(HONEY), no_sulphite=True, no_heat=True)
    assert str(head(strict).next) == "Use sweeteners that yeast leaves, or keep it cold and drink it soon."
    warm = ruled(chosen(HONEY), no_sorbate=True)
    assert "pasteurise" in str(head(warm).next)
    assert "tabilise" not in str(head(warm).next)


@pytest.mark.parametrize("salts", [SALTS, SALTS[:1]])
def test_that_preservatives_alone_are_not_tasted(salts):
    said = head(chosen(*salts))
    assert "preservative" in str(said.sentence)
    assert "pH" in str(said.next)
    assert not {"glass", "taste"} & set(str(said.next).casefold().replace(".", "").split())
    measured = head(chosen(*salts, ph=3.4))
    assert "Measure" not in str(measured.next)


def test_that_a_sweetener_is_tried_in_a_glass_without_the_preservatives():
    assert str(head(chosen(ERYTHRITOL)).next) == "Try it in a glass before you dose the batch."
    assert "without the preservatives" in str(head(chosen(*SALTS, ERYTHRITOL)).next)


def test_that_after_a_trial_a_part_goes_into_the_batch():
    tried = Trial(parts=(TrialPart(key="erythritol", dose=36.0),), glasses=(Glass(strength=1.0, score=8.0),))
    assert str(head(add_trial(chosen(ERYTHRITOL), tried)).next).startswith("You tried it in glasses")


def test_that_what_is_in_is_not_asked_for_again():
    part = head(given(chosen(ERYTHRITOL), ("erythritol", 0.4)))
    assert "before you stir in the rest" in str(part.next)
    whole = head(given(chosen(ERYTHRITOL), ERYTHRITOL))
    assert str(whole.sentence) == "Adjusted: one addition is stirred in."
    assert "read it again in two weeks" in str(whole.next)
    unplanned = head(given(RASPBERRY, ERYTHRITOL))
    assert "no addition chosen" not in str(unplanned.sentence)
    assert str(unplanned.sentence) == "Adjusted: one addition is stirred in."
    two = head(given(chosen(ERYTHRITOL, ("tannin", 0.004)), ERYTHRITOL))
    assert str(two.sentence) == "Being adjusted: 1 of 2 additions are stirred in completely."


def test_that_a_dry_mead_that_was_measured_is_ready():
    dry = with_adjustment(with_log(plain(), read(20.0, 0.998), read(26.0, 0.998), sugar_test(26.0, 0.5)), gravity=0.998)
    assert str(head(dry).sentence).startswith("Ready to be adjusted")


def test_that_the_shelf_knows_what_is_weighed_by_need():
    assert {SHELF.additive(key).group for key, _ in SALTS} == {"stabiliser"}


def test_that_sugar_in_bottles_is_the_headline_of_what_is_bottled():
    end = Event(at="2026-06-01T12:00+02:00", what=What.BOTTLED, bottles=24, size=0.75e-3)
    shut = chosen(HONEY)
    shut = msgspec.structs.replace(shut, log=msgspec.structs.replace(shut.log, readings=(*shut.log.readings, end)))
    said = head(shut)
    assert said.stage == "bottled"
    assert "may burst" in str(said.sentence)
    assert "Chill all bottles without shaking" in str(said.next)
    kept = change_adjustment(shut, stabilised=True)
    assert str(head(kept).sentence).startswith("Bottled on day")


def test_that_what_is_stirred_in_while_it_ferments_is_no_adjustment_yet():
    moving = with_log(
        plain(), read(0.0, 1.098), Event(day=1.0, what=What.DOSE, key="tannin", mass=0.004), read(4.0, 1.06), read(6.0, 1.04),
        pitched_at="2026-03-07T16:15+01:00",
    )  # fmt: skip
    assert head(moving).stage == "ferment"

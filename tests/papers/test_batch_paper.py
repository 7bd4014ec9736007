"""What stands in the paper of a batch: boxes as the log says, doses that nobody gives twice, and danger first."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import PITCHED, SHELF, full, plain, read, with_adjustment, with_log, worked_out

from planner.document.batch import Event, HouseRules, What, Wish
from planner.library import evaluate, open_batch
from planner.papers.batch_paper import paper_of
from planner.papers.tree import Listing, Paragraph, Scales, Section, Table


def paper(batch, members=0):
    return paper_of(worked_out(batch, members=members), SHELF, None)


def sections(blocks):
    """Every section by its title, wherever it stands."""
    found = {}
    for block in blocks:
        for part in (block, *getattr(block, "left", ()), *getattr(block, "right", ())):
            if isinstance(part, Section):
                found[part.title] = part
                found |= sections(part.blocks)
    return found


def table(section):
    return next(block for block in section.blocks if isinstance(block, Table))


def rows(section):
    return [tuple(map(str, row.cells)) for row in table(section).rows]


def test_that_what_goes_in_has_a_box_that_is_ticked_once_it_is_pitched():
    planned = table(sections(paper(plain()).blocks)["Recipe"])
    assert [row.done for row in planned.rows] == [False] * len(planned.rows)
    log = (Event(what=What.FEED, key="diammonium-phosphate", mass=0.008, day=1.0), read(0.0, 1.09), read(3.0, 1.06))
    pitched = table(sections(paper(with_log(plain(), *log, pitched_at=PITCHED)).blocks)["Recipe"])
    assert all(row.done for row in pitched.rows)
    unfed = table(sections(paper(with_log(plain(), *log[1:], pitched_at=PITCHED)).blocks)["Recipe"])
    assert [row.done for row in unfed.rows] == [True] * (len(unfed.rows) - 1) + [False]


def test_that_targets_stand_beside_what_is_foreseen():
    none = table(sections(paper(plain()).blocks)["Targets"])
    assert none.head == ("No target set", "Expected")
    some = table(sections(paper(plain(wish=Wish(alcohol=0.12))).blocks)["Targets"])
    assert some.head == ("", "Target", "Expected")
    strength = next(row for row in some.rows if row.cells[0] == "Strength")
    assert strength.cells[1].span.typical == 0.12


def test_that_feeds_are_proposed_only_where_the_recipe_has_none():
    """Beside feeds of the recipe a proposal would be given twice."""
    assert "Feeds that are proposed" not in sections(paper(plain(), members=50).blocks)
    assert "Feeds that are proposed" in sections(paper(plain(feeds=()), members=50).blocks)


def test_that_what_is_in_is_not_weighed_again():
    batch = with_adjustment(plain(), ("erythritol", 0.6), ("malic-acid", 0.02), volume=0.020, gravity=0.998)
    given = Event(what=What.DOSE, key="erythritol", mass=0.2, day=90.0)
    all_of_it = Event(what=What.DOSE, key="malic-acid", mass=0.02, day=90.0)
    log = msgspec.structs.replace(batch.log, pitched_at=PITCHED, readings=(read(0.0, 1.09), given, all_of_it))
    found = sections(paper(msgspec.structs.replace(batch, log=log)).blocks)["What to weigh"]
    assert rows(found)[0][:2] == ("600 g", "Erythritol\n200 g is in, 400 g to come")
    assert [row.done for row in table(found).rows] == [False, True]


def test_that_liquids_are_poured_and_small_amounts_have_spoons():
    batch = with_adjustment(plain(), ("vanilla-extract", 0.05), ("tartaric-acid", 0.01), ("potassium-sorbate", 0.004),
                            volume=0.020, gravity=0.998)  # fmt: skip
    poured, spooned, keeping = rows(sections(paper(batch).blocks)["What to weigh"])
    assert poured[0].split("\n")[0].endswith("mL")
    assert "level tsp" in spooned[0]
    assert keeping[2] == "for keeping, not for taste"


def test_that_without_additions_there_is_room_for_ones_own():
    assert table(sections(paper(plain()).blocks)["What to weigh"]).blank > 0


def test_that_danger_stands_on_the_first_page():
    outcome = evaluate(open_batch("damson-stopped"))
    batch = msgspec.structs.replace(
        outcome.batch,
        log=msgspec.structs.replace(
            outcome.batch.log,
            readings=(*outcome.batch.log.readings, Event(what=What.BOTTLED, bottles=12, size=0.75e-3, day=31.0)),
        ),
    )
    made = paper_of(evaluate(batch), SHELF, None)
    before = made.blocks[: next(n for n, block in enumerate(made.blocks) if isinstance(block, Section))]
    dangers = [str(block.text) for block in before if isinstance(block, Paragraph) and block.tone == "danger"]
    assert any("burst" in text for text in dangers)
    assert "Ways to a stable bottle" not in sections(made.blocks)  # bottled mead is neither heated nor stabilised


def test_that_a_way_that_a_house_rule_refuses_is_not_printed():
    sweet = evaluate(open_batch("damson-stopped")).batch
    assert "Sulphite with sorbate" in sections(paper(sweet, members=50).blocks)
    rules = HouseRules(no_sulphite=True, no_sorbate=True)
    strict = msgspec.structs.replace(sweet, recipe=msgspec.structs.replace(sweet.recipe, rules=rules))
    assert "Sulphite with sorbate" not in sections(paper(strict, members=50).blocks)


def test_that_there_is_room_for_a_pencil():
    found = sections(paper(full()).blocks)
    log = table(found["Log sheet"])
    assert log.fills
    assert log.blank >= 12
    assert any(isinstance(block, Scales) for block in found["Taste"].blocks)


def test_that_cautions_are_all_there():
    outcome = worked_out(full())
    found = sections(paper_of(outcome, SHELF, None).blocks)
    told = [str(item) for title in ("Warnings", "Notes", "Cautions") if title in found
            for block in found[title].blocks if isinstance(block, Listing) for item in block.items]  # fmt: skip
    dangers = [str(block.text) for block in paper(full()).blocks if isinstance(block, Paragraph)]
    assert {str(finding.text) for finding in outcome.findings} <= {*told, *dangers}


def test_that_the_parts_of_the_finishing_gravity_come_to_it():
    """Gravity is one and all that lifts it, in points of a thousandth."""
    outcome = worked_out(plain())
    found = sections(paper_of(outcome, SHELF, None).blocks)
    parts = [row.cells[0].span.typical for row in table(found["What makes the finishing gravity"]).rows]
    assert sum(parts) == pytest.approx(1e3 * (outcome.finish.gravity.typical - 1.0), abs=1e-6)
    days = [str(row.cells[0]) for row in table(found["The expected course"]).rows]
    assert days[0] == "0"
    assert len(days) <= 42

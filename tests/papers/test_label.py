"""What a label has to tell, by the texts of the law that stand in the sheet of each."""

from __future__ import annotations

import pytest
from example_batches import SHELF, plain, with_adjustment, worked_out

from planner.model.span import Span
from planner.papers import label
from planner.papers.tree import Card, Section, Table


def facts(*additions, **fields):
    """The facts of a label by their names, in plain words, and the card."""
    told, labels = label.label_pages(worked_out(with_adjustment(plain(), *additions, **fields)), SHELF)
    assert isinstance(told, Section)
    assert isinstance(labels, Section)
    table = next(block for block in told.blocks if isinstance(block, Table))
    (card,) = labels.blocks
    assert isinstance(card, Card)
    return {row.cells[0]: tuple(map(str, row.cells[1:])) for row in table.rows}, card


def test_that_sulphite_is_named_from_the_limit_on():
    """Regulation (EU) No 1169/2011, annex II: more than 10 mg/L; 27 CFR 4.32: 10 mg/L and more. A gram of potassium
    metabisulphite holds 0.576 g of sulphur dioxide (molar masses)."""
    told, card = facts(("potassium-metabisulphite", 0.0010), volume=0.020)
    assert told["Sulphite"][0] == "Contains sulphites. 29 mg/L was added in all."
    assert any("Contains sulphites" in str(line) for line in card.lines)
    told, card = facts(("potassium-metabisulphite", 0.0001), volume=0.020)
    assert told["Sulphite"][0].startswith("2.9 mg/L was added in all.")
    assert not any("sulphite" in str(line) for line in card.lines)
    assert facts()[0]["Sulphite"][0].startswith("None was added.")


def test_that_milk_is_named():
    told, card = facts(("lactose", 0.5))
    assert told["Allergens"][0] == "Contains milk."
    assert any("Contains milk." in str(line) for line in card.lines)


def test_that_the_sentence_on_sugar_alcohols_comes_above_a_tenth():
    """Regulation (EU) No 1169/2011, annex III: more than 10 % of added polyols."""
    assert "Sugar alcohols" not in facts()[0]
    for mass, is_told in ((1.0, False), (3.0, True)):
        told, card = facts(("erythritol", mass), volume=0.020)
        assert ("laxative" in told["Sugar alcohols"][0]) is is_told
        assert any("laxative" in str(line) for line in card.lines) is is_told
        assert "Fruit mead with sweetener" in card.lines


def test_that_the_tolerance_follows_the_law_at_each_strength():
    """Regulation (EU) No 1169/2011, annex XII: ±1.0 and ±1.5 % vol; 27 CFR 4.36: ±1.5 up to 14 % vol and ±1.0 above."""
    for strength, usa in ((0.12, "±1.5 % vol"), (0.15, "±1 % vol")):
        text = str(label._strength_rule(Span.exactly(strength)))
        assert "±1 % vol at 20 °C for mead and fruit wine, ±1.5 % vol with macerated fruit" in text
        assert f"USA: {usa} at this strength, not across 14 % vol" in text
    assert "crosses that line" in str(label._strength_rule(Span(0.135, 0.139, 0.143)))


def test_that_a_strength_known_too_loosely_is_to_be_measured():
    assert str(label._strength(Span(0.115, 0.12, 0.125))) == "12 % vol"
    assert "Have the strength measured" in str(label._strength(Span(0.105, 0.12, 0.135)))


@pytest.mark.parametrize(("size", "height"), [(1.5e-3, 6), (0.75e-3, 4), (0.2e-3, 3), (0.05e-3, 2)])
def test_that_the_figure_of_the_contents_has_its_height(size, height):
    """As a page of a foreign service of 2017 quotes the rule: 6, 4, 3 and 2 mm for above 1000, 200 and 50 mL, and below."""
    assert label._height(size) == height


def test_that_each_fact_names_who_asks_for_it_and_defers_to_the_local_law():
    told, _ = facts(("lactose", 0.5), ("erythritol", 2.0))
    for name in ("Strength", "Allergens", "Sulphite", "Sugar alcohols", "Lot"):
        assert any(year in told[name][1] for year in ("1169/2011", "2011/91"))
    assert "check yours" in label.COMPANY

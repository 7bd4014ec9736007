"""How sweet and how sharp a mead will seem: words of known drinks, and which way they go."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.model.span import Span
from planner.model.taste import (
    BODIES,
    FULL,
    LAW,
    SHARP,
    STRONG,
    SWEET,
    SWEETNESSES,
    meant,
    seeming_sweetness,
    sourness,
    taste,
    word_of_the_law,
)

sweets, acids, phs = st.floats(0.0, 300.0), st.floats(0.5, 40.0), st.floats(2.5, 4.5)


def of(sweetness, acid, ph=None, alcohol=0.12, viscosity=1.5e-3):
    exactly = Span.exactly
    return taste(
        exactly(sweetness), exactly(acid), None if ph is None else exactly(ph), exactly(alcohol), exactly(viscosity)
    )


# Titratable acid as tartaric [g/L], pH and sweetness [g/L] of drinks whose taste is known (common practice, no source).
KNOWN = [
    ("a usual dry white wine", 2.0, 6.0, 3.4, "dry", {"fresh"}),
    ("a lean dry white wine of the north", 2.0, 8.0, 3.0, "dry", {"crisp", "sharp"}),
    ("a dry mead of honey alone", 2.0, 4.0, 3.7, "dry", {"flat"}),
    ("a dessert wine", 100.0, 8.0, 3.2, "very sweet", {"flat", "soft", "fresh"}),
    ("a dry mead of blackcurrant juice", 3.0, 17.0, 2.95, "dry", {"fiercely sour"}),
    ("lemon juice", 24.0, 58.0, 2.3, "off-dry", {"fiercely sour"}),
]  # fmt: skip


@pytest.mark.parametrize(("what", "scale"), [("sweetness", SWEET), ("strength", STRONG), ("body", FULL)])
def test_that_the_words_of_a_scale_can_be_wanted_and_come_back(what, scale):
    named = {"sweetness": SWEETNESSES, "body": BODIES}.get(what, {})
    for word in scale.words:
        value = meant(what, word.replace("-", " ").upper())
        assert value is not None
        if word not in named and word not in ("medium sweet",):  # the law and the recipe name these
            assert scale.words[scale.place(value)] == word
    assert meant(what, "lovely") is None
    assert meant(what, "") is None


@given(st.sampled_from(SHARP.words), phs, st.floats(0.0, 100.0))
def test_that_a_word_of_sharpness_is_the_acid_that_seems_so(word, ph, sweetness):
    acid = meant("sharpness", word, ph, sweetness)
    assert SHARP.words[SHARP.place(sourness(acid, ph, sweetness))] == word


@pytest.mark.parametrize(("drink", "sweetness", "acid", "ph", "sweet", "sharp"), KNOWN)
def test_that_known_drinks_get_the_words_they_are_known_by(drink, sweetness, acid, ph, sweet, sharp):
    found = of(sweetness, acid, ph)
    names = found.sweet.scale.words
    assert names[found.sweet.low] == sweet or names[found.sweet.high] == sweet or found.sweet.word == sweet, drink
    assert found.sharp.word in sharp, drink


def test_that_a_dry_mead_of_seventeen_grams_is_fiercely_sour_whatever_the_doubt():
    for ph in (None, 2.8, 3.2, 3.6):
        assert of(2.0, 17.0, ph).sharp.words == "fiercely sour"
        assert of(2.0, 17.0, ph).sweet.words == "dry"


@given(sweets, acids, phs, st.floats(0.1, 10.0))
def test_that_acid_makes_it_sharper_and_less_sweet_and_sweetness_the_other_way(sweetness, acid, ph, more):
    assert sourness(acid + more, ph, sweetness) > sourness(acid, ph, sweetness)
    assert sourness(acid, ph, sweetness + more) < sourness(acid, ph, sweetness)
    assert seeming_sweetness(sweetness, acid + more) <= seeming_sweetness(sweetness, acid)
    assert seeming_sweetness(sweetness + more, acid) >= seeming_sweetness(sweetness, acid)


@given(acids, phs)
def test_that_a_gram_of_acid_weighs_as_much_as_a_unit_of_ph(acid, ph):
    # Plane, Mattick & Weirs 1980: acid taste goes with titratable acid less pH.
    assert sourness(acid + 1.0, ph, 0.0) == pytest.approx(sourness(acid, ph - 1.0, 0.0))


@given(sweets, acids, phs)
def test_that_the_likeliest_word_lies_between_the_ends_and_doubt_only_widens(sweetness, acid, ph):
    known, unknown = of(sweetness, acid, ph), of(sweetness, acid)
    for part in (*known, *unknown):
        assert 0 <= part.low <= part.typical <= part.high < len(part.scale.words)
        assert part.words
    wide = taste(Span(0.8 * sweetness, sweetness, 1.2 * sweetness), Span(max(acid - 2.0, 0.0), acid, acid + 2.0),
                 Span.exactly(ph), Span.exactly(0.12), Span.exactly(1.5e-3))  # fmt: skip
    assert wide.sharp.low <= known.sharp.low
    assert wide.sharp.high >= known.sharp.high


def test_that_where_studies_leave_much_open_only_tasting_tells():
    # Old wine studies saw little masking, another up to 27 g/L of sugar for a gram of acid: a sweet mead is judged by neither.
    assert "only tasting tells" in of(100.0, 9.0, 3.1).sharp.words
    assert " to " not in of(2.0, 6.0, 3.4).sharp.words


def test_that_a_cloying_and_an_austere_mead_get_advice_and_a_balanced_one_none():
    assert "a little acid" in of(70.0, 4.0, 3.7).advice
    assert "a little less acid" in of(2.0, 9.5, 3.0).advice
    assert not of(2.0, 6.0, 3.4).advice


@pytest.mark.parametrize("scale", [SWEET, SHARP, STRONG, FULL])
def test_that_a_limit_belongs_to_the_word_above_it(scale):
    assert len(scale.words) == len(scale.limits) + 1
    assert list(scale.limits) == sorted(scale.limits)
    for place, limit in enumerate(scale.limits):
        assert scale.place(limit) == place + 1
        assert scale.place(limit - 1e-9) == place


# Commission Delegated Regulation (EU) 2019/33, Annex III part B: dry up to 4 g/L, or up to 9 where acid lies within 2 of the
# sugar; medium dry up to 12, or up to 18 where acid lies within 10; sweet from 45.
@pytest.mark.parametrize(("sugar", "acid", "word"), [
    (4.0, 0.0, "dry"), (9.0, 7.0, "dry"), (9.0, 6.9, "medium dry"), (9.1, 20.0, "medium dry"), (12.0, 0.0, "medium dry"),
    (18.0, 8.0, "medium dry"), (18.0, 7.9, "medium"), (18.1, 20.0, "medium"), (44.9, 6.0, "medium"), (45.0, 6.0, "sweet")])  # fmt: skip
def test_that_the_words_of_the_law_hang_on_sugar_and_acid(sugar, acid, word):
    assert word_of_the_law(sugar, acid) == word
    assert word in LAW.words

"""What was learnt is said in plain words, with its number of batches."""

from __future__ import annotations

import math

import pytest
from made_batches import SHELF, batch

from planner.document import edits
from planner.document.learnt import Learning, Learnt, Source, Told
from planner.learning.learnt_text import LEFT_OUT, NOTHING, told
from planner.learning.pool import taught_by
from planner.wording.figures import Plain


def learnt(trait, mean, of="all-rounder", batches=4):
    return Learnt(trait=trait, of=of, mean=mean, sd=0.1, batches=batches, shelf=0.25)


def shown(*values, used=True):
    held = edits.learn(batch(), Learning(values=values, used=used))
    return [words.shown(Plain()) for words in told(held, SHELF)]


def test_that_a_yeast_is_told_in_one_sentence():
    first, share = shown(learnt("pace", math.log(1.25)), learnt("tolerance", 0.013))
    stops = 100.0 * (SHELF.yeast("all-rounder").tolerance.typical + 0.013)
    assert first == f"Your four batches with this yeast: 25 % faster and it stops near {stops:.1f} % vol."
    assert "25 %" in share


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (learnt("pace", -0.5), "slower"),
        (learnt("pace", 0.0), "usual pace"),
        (learnt("trend", -0.3), "slower at the end"),
        (learnt("lag", 0.3), "longer until it starts"),
        (learnt("sugar", -0.2, "damson"), "less sugar than most"),
        (learnt("juice_yield", 0.02, "damson"), "juice from the press"),
        (learnt("ph", 0.1, "damson"), "juice of pH"),
        (learnt("losses", 0.3, ""), "lost up to the bottle"),
        (learnt("dry_gravity", 0.002, ""), "higher than their recipes say"),
        (learnt("scatter", 0.4, ""), "scatter more than most"),
    ],
    ids=lambda value: getattr(value, "trait", value),
)
def test_that_each_thing_learnt_has_its_words(value, words):
    assert words in shown(value)[0]


def test_that_it_says_where_nothing_is_learnt_or_all_is_left_out():
    assert told(batch(), SHELF) == (NOTHING,)
    assert told(edits.learn(batch(), Learning(values=(learnt("pace", 0.2),), used=False)), SHELF) == (LEFT_OUT,)


def test_that_a_batch_unlike_the_others_is_named():
    sources = [
        Source(name=name, told=(Told(trait="pace", of="all-rounder", value=value, sd=0.08),))
        for name, value in (("a", 0.1), ("b", 0.15), ("c", 0.1), ("Odd one", -1.9))
    ]
    held = edits.learn(batch(), taught_by(batch(), sources))
    assert any("“Odd one” is unlike the others" in words.shown(Plain()) for words in told(held, SHELF))

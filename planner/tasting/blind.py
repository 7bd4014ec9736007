"""Small blind tests at home: an order at random with blind codes, and what the counts bear out, exactly.

Triangle as in ISO 4120:2021, paired comparison as in ISO 5495, both by the binomial distribution. What is not shown is never
called the same. Several tastings by one person speak of that person.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import permutations

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.tasting import BlindTest, Serving
from planner.model.span import Span
from planner.wording import phrases
from planner.wording.phrases import Words, literal, say

Array = npt.NDArray[np.float64]

CHANCE = {"triangle": 1.0 / 3.0, "paired": 1.0 / 2.0, "preference": 1.0 / 2.0}
"""Probability of a right answer, or of one for the second sample, by guessing. [-]"""

LEVEL = 0.05
"""Probability by chance alone below which a difference counts as shown. [-] Common practice."""

TRIANGLE_ORDERS = ((0, 0, 1), (0, 1, 0), (1, 0, 0), (1, 1, 0), (1, 0, 1), (0, 1, 1))
"""All orders of a triangle, which are served equally often."""

LEANING, SURE = 0.8, 0.95
"""Probability that more than half prefer one from which the answers lean to it, and are fairly sure. [-]"""

MOST_EXACT = 200_000
"""Ways to rank by chance that are gone through one by one. [-] Of more, so many are drawn."""


class Result(msgspec.Struct, frozen=True):
    """What a test bears out.

    Attributes
    ----------
    answered : int
        Servings with an answer. [-]
    right : int
        Right answers; for a preference those for the second sample. None are counted of a ranking. [-]
    chance : float or None
        Probability of answers at least as clear by guessing alone; None without answers. [-]
    needed : int or None
        Right answers of so many that would show a difference; None where no number would, and of a ranking. [-]
    preferring : Span or None
        Share of tastings in which the second sample is preferred. [-]
    ranks : tuple of float
        Mean rank of each sample, 1 the best. [-]
    told : Words
        In words.
    """

    answered: int
    right: int
    chance: float | None
    needed: int | None
    told: Words
    preferring: Span | None = None
    ranks: tuple[float, ...] = ()


# --- the plan


def planned(test: BlindTest, tasters: Sequence[str], rounds: int, dice: np.random.Generator) -> BlindTest:
    """A test with its servings: balanced orders, shuffled, with blind codes.

    Parameters
    ----------
    rounds : int
        How often each of them tastes. [-]
    dice : numpy.random.Generator
        Where chance comes from. [-]
    """
    who = [taster for _ in range(max(rounds, 1)) for taster in (tasters or ("",))]
    orders = _orders(test, len(who), dice)
    servings = tuple(
        Serving(taster=taster, samples=order, codes=_codes(len(order), dice))
        for taster, order in zip(who, orders, strict=True)
    )
    return msgspec.structs.replace(test, servings=servings)


def _orders(test: BlindTest, number: int, dice: np.random.Generator) -> list[tuple[int, ...]]:
    """Each order equally often, as far as the number allows; of rankings each glass equally often at each place."""
    if test.kind == "triangle":
        every: list[tuple[int, ...]] = list(TRIANGLE_ORDERS)
    elif test.kind == "ranking":
        first = dice.permutation(len(test.samples)).tolist()
        every = [tuple(first[n:] + first[:n]) for n in range(len(first))]
    else:
        every = [(0, 1), (1, 0)]
    orders: list[tuple[int, ...]] = []
    while len(orders) < number:
        orders += [every[n] for n in dice.permutation(len(every)).tolist()]
    return [orders[n] for n in dice.permutation(number).tolist()]


def _codes(number: int, dice: np.random.Generator) -> tuple[int, ...]:
    return tuple((100 + dice.choice(900, size=number, replace=False)).tolist())


# --- what the counts bear out


def by_chance(right: int, answered: int, chance: float, two_sided: bool = False) -> float:
    """Probability of so many right answers or more by guessing; two-sided of so clear a majority for either. [-]

    Parameters
    ----------
    right, answered : int
        Of so many answers so many. [-]
    chance : float
        Of one right answer by guessing. [-]
    two_sided : bool
        Whether either direction counts; only where both are equally likely. [-]

    Examples
    --------
    >>> round(by_chance(9, 10, 0.5, two_sided=True), 3)
    0.021
    """
    from scipy.stats import binomtest

    return float(binomtest(right, answered, chance, alternative="two-sided" if two_sided else "greater").pvalue)


def needed(answered: int, chance: float, level: float = LEVEL, two_sided: bool = False) -> int | None:
    """Fewest right answers that show a difference; None where no number of them would. [-]

    Parameters
    ----------
    answered : int
        How many answers there are. [-]
    chance, level : float
        Of one right answer by guessing, and below which a difference counts as shown. [-]

    Examples
    --------
    >>> needed(12, 1 / 3), needed(5, 1 / 2, two_sided=True)
    (8, None)
    """
    least = math.ceil(answered * chance)
    return next(
        (right for right in range(least, answered + 1) if by_chance(right, answered, chance, two_sided) <= level), None
    )


def preferring(chosen: int, answered: int) -> tuple[float, Span]:
    """Belief about a preference, from an even prior: the probability that more than half prefer it, and the share that does.

    Parameters
    ----------
    chosen, answered : int
        Answers for it, of so many. [-]

    Returns
    -------
    float
        [-]
    Span
        Median and 90 % interval of the beta distribution. [-]
    """
    from scipy.stats import beta

    belief = beta(1 + chosen, 1 + answered - chosen)
    return float(belief.sf(0.5)), Span(*(float(belief.ppf(q)) for q in (0.05, 0.5, 0.95)))


def ranked_by_chance(ranks: Array, dice: np.random.Generator | None = None) -> float:
    """Probability that rankings at random lie at least as far apart in their sums, exactly where they can be gone through.

    Parameters
    ----------
    ranks : numpy.ndarray, shape (tasters, samples)
        Of each sample by each taster, 1 the best. [-]
    dice : numpy.random.Generator, optional
        For what is drawn where there are too many. [-]

    Notes
    -----
    The statistic is that of Friedman, the sum of squares of the rank sums. By chance each taster gives each order equally often;
    the distribution of the sums is built up taster by taster.
    """
    tasters, samples = ranks.shape
    found = float(np.sum(ranks.sum(axis=0) ** 2))
    orders = np.array(list(permutations(range(1, samples + 1))))
    if (
        len(orders) ** max(tasters - 1, 0) <= MOST_EXACT
    ):  # the first taster may be held: only orders beside one another count
        sums = orders[:1]
        for _ in range(tasters - 1):
            sums = (sums[:, None, :] + orders[None, :, :]).reshape(-1, samples)
        return float(np.mean(np.sum(sums.astype(float) ** 2, axis=1) >= found - 1e-9))
    dice = dice or np.random.default_rng(1)
    chosen = dice.integers(len(orders), size=(MOST_EXACT // tasters, tasters))
    squares = np.sum(orders[chosen].sum(axis=1).astype(float) ** 2, axis=1)
    return float((1 + np.count_nonzero(squares >= found - 1e-9)) / (1 + len(squares)))


# --- the result


def result(test: BlindTest) -> Result:
    """What a test bears out so far."""
    done = [serving for serving in test.servings if serving.answer]
    if test.kind == "ranking":
        return _ranking(test, [serving for serving in done if len(serving.answer) == len(serving.samples)])
    right = sum(_is_right(test, serving) for serving in done)
    number, chance, both = len(done), CHANCE[test.kind], test.kind == "preference"
    if not number:
        return Result(0, 0, None, None, say("No answer is entered yet."))
    fewest = needed(number, chance, two_sided=both)
    by_guessing = by_chance(right, number, chance, both)
    if both:
        return _preference(test, right, number, by_guessing, fewest)
    shown = by_guessing <= LEVEL
    verdict = "A difference is shown." if shown else "A difference is not shown; that does not make them the same."
    more = (
        "So few answers can never show one." if fewest is None
        else "{} right answers of as many would show one."
    )  # fmt: skip
    told = f"{{}} of {{}} answers are right. Guessing alone gives as many in {{}} of tests. {verdict}"
    figures = [phrases.count(right), phrases.count(number), phrases.share(by_guessing)]
    if not shown:
        told = f"{told} {more}"
        figures += [] if fewest is None else [phrases.count(fewest)]
    return Result(number, right, by_guessing, fewest, say(told, *figures))


def _is_right(test: BlindTest, serving: Serving) -> bool:
    chosen = serving.samples[serving.answer[0]]
    if test.kind == "triangle":
        return serving.samples.count(chosen) == 1
    return chosen == 1


def _preference(test: BlindTest, chosen: int, number: int, by_guessing: float, fewest: int | None) -> Result:
    above, share = preferring(chosen, number)
    ahead = max(above, 1.0 - above)
    name = literal(test.samples[1 if above >= 0.5 else 0]) or "one"
    verdict = "They lean to neither." if ahead < LEANING else (
        f"They lean to “{name}”." if ahead < SURE else f"“{name}” is preferred, fairly surely."
    )  # fmt: skip
    told = say(
        f"{{}} of {{}} prefer “{literal(test.samples[1])}”. {verdict} "
        "In the long run {} to {} of tastings would.",
        phrases.count(chosen), phrases.count(number), phrases.share(share.low), phrases.share(share.high),
    )  # fmt: skip
    return Result(number, chosen, by_guessing, fewest, told, share)


def _ranking(test: BlindTest, done: Sequence[Serving]) -> Result:
    if not done:
        return Result(0, 0, None, None, say("No answer is entered yet."))
    ranks = np.array([_ranks(serving, len(test.samples)) for serving in done], dtype=float)
    chance = ranked_by_chance(ranks)
    means = ranks.mean(axis=0)
    best, next_ = np.argsort(means, kind="stable")[:2].tolist()
    name = literal(test.samples[best])
    if chance > LEVEL:
        verdict = f"“{name}” is ahead, but an order is not shown; that does not make them the same."
    else:
        verdict = f"An order is shown, with “{name}” first."
        first = int(np.count_nonzero(ranks[:, best] < ranks[:, next_]))
        if by_chance(first, len(done), 0.5, two_sided=True) > LEVEL:
            verdict += f" Whether it beats “{literal(test.samples[next_])}” is not shown: test these two once more."
    told = say(
        f"{{}} rankings. Guessing alone gives orders as clear in {{}} of tests. {verdict}",
        phrases.count(len(done)), phrases.share(chance),
    )  # fmt: skip
    return Result(len(done), 0, chance, None, told, ranks=tuple(float(mean) for mean in means))


def _ranks(serving: Serving, samples: int) -> list[int]:
    ranks = [0] * samples
    for rank, place in enumerate(serving.answer, start=1):
        ranks[serving.samples[place]] = rank
    return ranks


PROTOCOL = (
    "Use one kind of bottle and glass, one temperature within {1 K}, and one fill of 25 to 30 mL. Dim the light if the colours differ.",
    "Write the codes on the glasses. Let a second person pour, or shuffle the tray; the program keeps the key.",
    "Serve from left to right. Water, plain bread and a minute between glasses, three minutes between servings.",
    "Taste at most eight glasses in a sitting, and spit. Eight of 30 mL at 13 % vol hold 25 g of alcohol.",
    "Stir doses into the same mead by mass, and let it stand ten minutes.",
    "Decide the question and the number before you start. Do not look at the key on the way.",
)
"""How it is done. Common practice, no source."""

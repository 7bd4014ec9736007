"""What a label has to tell: the batch's own facts, each with who asks for it, and a small label to cut out.

The rules are carried over from texts of the years that stand beside them. Laws differ and change, and none of this is
advice: the local law and the local authority decide.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from planner.document.bottled import bottled
from planner.document.timestamps import parsed
from planner.evaluation.outcome import Outcome
from planner.model.components import COMPONENTS
from planner.model.span import Span
from planner.model.sulphite import LABEL_FROM, total_from
from planner.papers.tree import Block, Card, Paragraph, Row, Section, Table, Text
from planner.recipe.house_rules import SULPHITES
from planner.reference.catalogue import Catalogue
from planner.wording import phrases
from planner.wording.phrases import Words, say

TOLERANCE_EU, TOLERANCE_WITH_FRUIT_EU = 0.010, 0.015
"""How far the strength on a label may be off for mead and fruit wine, and for drinks with macerated fruit or plants.
[m^3/m^3] Regulation (EU) No 1169/2011, annex XII."""

TOLERANCE_USA, TOLERANCE_ABOVE_USA, LINE_USA = 0.015, 0.010, 0.14
"""The same in the USA from 7 to 14 % vol and above, and the strength between both, which no tolerance may cross. [m^3/m^3]
27 CFR 4.36, as another text quotes it."""

TOLERANCE_BELOW_USA, FROM_USA = 0.0075, 0.07
"""The same for what is weaker, and below which strength that is. [m^3/m^3] 27 CFR 24.257."""

LAXATIVE_FROM = 0.10
"""Share of sugar alcohols that were added, above which a label warns. [kg/kg] Regulation (EU) No 1169/2011, annex III."""

LARGE, MIDDLE, SMALL = 1e-3, 0.2e-3, 0.05e-3
"""Contents above which the figure on a label is at least 6, 4 and 3 mm high in the EU; below it is 2 mm. [m^3] As a page of
a foreign service of 2017 quotes it."""

LABELS = 10
"""On a sheet: two beside each other, so that they fit both sizes of paper. [-]"""

COMPANY = (
    "Laws differ and change: check yours, and ask your local authority before you sell. The rules of the USA are as other texts "
    "quote them, of unknown year."
)


def label_pages(outcome: Outcome, shelf: Catalogue) -> Iterator[Block]:
    """Facts for the label, and a label; nothing where there is no mead."""
    if outcome.mead is None:
        return
    facts = tuple(Row((name, told, rule)) for name, told, rule in _facts(outcome, shelf))
    table = Table(("What", "This batch", "Who asks for it"), facts, (0.0, 1.2, 1.6))
    yield Section("For the label", (Paragraph(COMPANY), table), new_page=True)
    yield Section("Labels to cut out", (_card(outcome, shelf),), new_page=True)


def _facts(outcome: Outcome, shelf: Catalogue) -> Iterator[tuple[Text, Text, Text]]:
    mead = outcome.mead
    assert mead is not None
    yield (
        "Name",
        "Fruit mead",
        "You choose the name of sale. Several countries reserve “mead” for little or no fruit. Austria (food code B3) and "
        "South Africa (Regulation R1433 under Act 60 of 1989) are two.",
    )
    yield "Strength", _strength(mead.after.alcohol), _strength_rule(mead.after.alcohol)
    size = _size(outcome)
    yield (
        "Contents",
        "" if size is None else say("{}", phrases.volume(size)),
        ""
        if size is None
        else f"EU: figures at least {_height(size)} mm high (a text of 2017). USA: letters of 2 mm above 187 mL, else 1 mm (27 CFR "
        "24.257).",
    )
    told, rule = _allergens(outcome, shelf)
    yield "Allergens", told or "None of the additions.", rule
    told, added, law = _sulphite(outcome)
    yield "Sulphite", say(f"{told} {added.template}".lstrip(), *added.figures), law
    polyols = _polyols(outcome, shelf)
    if polyols is not None:
        told, added, rule = polyols
        yield "Sugar alcohols", say(f"{told} {added.template}".lstrip(), *added.figures), rule
    yield (
        "Lot",
        _lot(outcome),
        "EU: a lot on each bottle, with an L before it where it is not plain (Directive 2011/91/EU, from memory).",
    )
    yield (
        "Also",
        "",
        "EU: name and address; no words on health (Regulation (EC) No 1924/2006). USA: a health warning above 0.5 % vol "
        "(27 CFR part 16). From 7 % vol on the label needs approval there.",
    )


# --- strength


def _strength(alcohol: Span) -> Words:
    """To one decimal, as labels have it; with the range where that is wider than any tolerance."""
    told = phrases.alcohol(alcohol.typical)
    if max(alcohol.high - alcohol.typical, alcohol.typical - alcohol.low) <= TOLERANCE_EU:
        return say("{}", told)
    return say(
        "{}, but {} to {} is possible. Have the strength measured.", told, phrases.alcohol(alcohol.low),
        phrases.alcohol(alcohol.high),
    )  # fmt: skip


def _strength_rule(alcohol: Span) -> Words:
    eu = (
        "EU: ±{} at 20 °C for mead and fruit wine, ±{} with macerated fruit (Regulation (EU) No 1169/2011, annex XII). "
    )
    figures = [phrases.alcohol(TOLERANCE_EU), phrases.alcohol(TOLERANCE_WITH_FRUIT_EU)]
    if alcohol.typical < FROM_USA:
        return say(f"{eu}USA: ±{{}} at this strength (27 CFR 24.257).", *figures, phrases.alcohol(TOLERANCE_BELOW_USA))
    usa = TOLERANCE_ABOVE_USA if alcohol.typical > LINE_USA else TOLERANCE_USA
    text = f"{eu}USA: ±{{}} at this strength, not across {{}} (27 CFR 4.36)."
    figures += [phrases.alcohol(usa), phrases.alcohol(LINE_USA)]
    if alcohol.low < LINE_USA < alcohol.high:
        text += " The range of this mead crosses that line."
    return say(text, *figures)


# --- what is in it


def _in_it(outcome: Outcome) -> dict[str, float]:
    """Masses of what is, or will be, stirred in, by the key. [kg]"""
    assert outcome.mead is not None
    masses: dict[str, float] = {}
    for line in outcome.batch.adjustment.additions:
        masses[line.key] = masses.get(line.key, 0.0) + line.mass
    for given in outcome.mead.given:
        masses[given.key] = max(masses.get(given.key, 0.0), given.mass)
    return masses


def _allergens(outcome: Outcome, shelf: Catalogue) -> tuple[str, str]:
    """What the label says, and the rule."""
    keys = [key for key, mass in _in_it(outcome).items() if mass > 0.0 and key in shelf.additives]
    named = dict.fromkeys(shelf.additive(key).allergen for key in keys if shelf.additive(key).allergen)
    return (
        f"Contains {' and '.join(named)}." if named else "",
        "EU: milk, egg and fish count, also from fining, unless none is left (Regulation (EU) No 1169/2011, annex "
        "II). If you fined with casein, egg white or isinglass, say so.",
    )


def _sulphite(outcome: Outcome) -> tuple[str, Words, Words]:
    """What the label says, what was added, and the rule."""
    assert outcome.mead is not None
    mass = sum(mass for key, mass in _in_it(outcome).items() if key in SULPHITES)
    total = float(total_from(mass, outcome.mead.after.volume.typical))
    rule = say(
        "EU: “contains sulphites” above {} in all (Regulation (EU) No 1169/2011). USA: from {} on (27 CFR 4.32).",
        phrases.trace(LABEL_FROM), phrases.trace(LABEL_FROM),
    )  # fmt: skip
    added = say("{} was added in all.", phrases.trace(total)) if total > 0.0 else say("None was added.")
    if total >= LABEL_FROM:
        return "Contains sulphites.", added, rule
    own = "Yeast makes some of its own, often more than the limit. Only a test can clear it."
    return "", say(f"{added.template} {own}", *added.figures), rule


def _polyols(outcome: Outcome, shelf: Catalogue) -> tuple[str, Words, str] | None:
    """What the label says, what was added, and the rule; None where no sugar alcohol was."""
    assert outcome.mead is not None
    mass = sum(
        mass * share for key, mass in _in_it(outcome).items() if key in shelf.additives
        for part, share in shelf.additive(key).composition if COMPONENTS[part].polyol
    )  # fmt: skip
    if mass <= 0.0:
        return None
    is_much = mass > LAXATIVE_FROM * float(outcome.mead.mixed.masses[:, 0].sum())
    rule = (
        "EU: a sentence on laxative effects above 10 % of sugar alcohols (Regulation (EU) No 1169/2011, annex III). It also asks "
        "for “with sweetener” beside the name. Regulation (EC) No 1333/2008 says which sweeteners mead for sale may hold: check it."
    )
    added = say("{} was added.", phrases.concentration(mass / outcome.mead.after.volume.typical))
    return "Excessive consumption may produce laxative effects." if is_much else "", added, rule


# --- bottle, lot and label


def _size(outcome: Outcome) -> float | None:
    """What a bottle holds: as it was bottled, or else as it is planned. [m^3]"""
    end = bottled(outcome.batch)
    if end is not None and end.size is not None:
        return end.size
    return max(outcome.batch.recipe.bottles, default=None)


def _height(size: float) -> int:
    """How high the figure of the contents is at least. [mm]"""
    return 6 if size > LARGE else 4 if size > MIDDLE else 3 if size > SMALL else 2


def _lot(outcome: Outcome) -> str:
    """A lot from the day of bottling, or else of pitching: year, and day of the year."""
    batch, end = outcome.batch, bottled(outcome.batch)
    moment = end.moment if end is not None else None
    if moment is None and batch.log.pitched_at:
        moment = parsed(batch.log.pitched_at)
    return "" if moment is None else f"L{moment:%y%j}"


def _card(outcome: Outcome, shelf: Catalogue) -> Card:
    mead, batch = outcome.mead, outcome.batch
    assert mead is not None
    fruits = [shelf.fruits[line.key].name for line in batch.recipe.fruits if line.key in shelf.fruits]
    honeys = [shelf.honeys[line.key].name for line in batch.recipe.honeys if line.key in shelf.honeys]
    size = _size(outcome)
    strength = say("{}", phrases.alcohol(mead.after.alcohol.typical))
    contents = strength if size is None else say("{}  ·  {}", *strength.figures, phrases.volume(size))
    polyols = _polyols(outcome, shelf)
    name = "Fruit mead" if polyols is None else "Fruit mead with sweetener"
    warned = (_allergens(outcome, shelf)[0], _sulphite(outcome)[0], "" if polyols is None else polyols[0])
    lines: list[Text] = [name, _listed([*fruits, *honeys]), contents, " ".join(filter(None, warned))]
    lines += [f"Lot {_lot(outcome)}"] if _lot(outcome) else []
    return Card(batch.name, tuple(line for line in lines if line), LABELS)


def _listed(names: Iterable[str]) -> str:
    """Ingredients in a row, of which the first begins large, unless somebody gave it its name."""
    first, *others = [*dict.fromkeys(names), ""]
    small = phrases.in_a_sentence(first)
    told = small if small == first else small[:1].upper() + small[1:]
    return ", ".join([told, *(phrases.in_a_sentence(name) for name in others if name)])

"""The paper of a batch: what the maker pins up beside the fermenter, and what belongs to the bottle."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from planner.document.shelf import shelf_of
from planner.document.timestamps import parsed
from planner.evaluation.outcome import Outcome
from planner.evaluation.provenance import every_provenance, source_of
from planner.learning.learnt_text import told
from planner.learning.pool import of_recipe
from planner.papers.course import log_pages, schedule_pages
from planner.papers.dates import date
from planner.papers.feeds import feeding_pages
from planner.papers.figures import figure_pages
from planner.papers.front import front
from planner.papers.label import label_pages
from planner.papers.mead import mead_pages, tasting_pages
from planner.papers.tree import Block, Link, Listing, Paper, Paragraph, Picture, Section
from planner.planning.schedule import schedule
from planner.reference.catalogue import Catalogue
from planner.reference.sources import Source
from planner.wording import phrases
from planner.wording.finding import Level
from planner.wording.phrases import Words, literal, say

_GRAVE = ((Level.WARNING, "Warnings"), (Level.NOTE, "Notes"), (Level.CAUTION, "Cautions"))
_DOI = "doi:"


def paper_of(outcome: Outcome, shelf: Catalogue, curve: Picture | None, today: datetime | None = None) -> Paper:
    """All that is printed of a batch.

    Parameters
    ----------
    shelf : Catalogue
        The shelf; the batch's own rows need not be on it. [-]
    curve : Picture or None
        The fermentation curve, where there is one. [-]
    today : datetime or None
        The present moment; None to go by the log alone. [-]
    """
    batch = outcome.batch
    shelf = shelf_of(batch, shelf)
    plan = schedule(outcome, shelf, today)
    names = {row.key: row.name for rows in (shelf.additives, shelf.fruits, shelf.honeys, shelf.nutrients)
             for row in rows.values()}  # fmt: skip
    return Paper(
        batch.name,
        _about(outcome, shelf),
        (
            *front(outcome, shelf, plan, curve),
            *schedule_pages(plan),
            *feeding_pages(outcome, shelf, today),
            *log_pages(outcome, lambda key: names.get(key, key)),
            *mead_pages(outcome, shelf),
            *tasting_pages(outcome),
            *_findings(outcome),
            *label_pages(outcome, shelf),
            *figure_pages(outcome),
            *_learnt(outcome, shelf),
            *_sources(outcome, shelf),
        ),
    )


def _about(outcome: Outcome, shelf: Catalogue) -> Words:
    """Of what it is made, how much, and since when."""
    batch = outcome.batch
    named = [shelf.fruits[line.key].name for line in batch.recipe.fruits if line.key in shelf.fruits]
    parts, figures = (
        [f"Fruit mead of {' and '.join(phrases.in_a_sentence(name) for name in named)}" if named else "Mead"],
        [],
    )
    if outcome.must is not None:
        parts.append("{} of must")
        figures.append(phrases.volume(outcome.must.volume.typical))
    pitched, planned = batch.log.pitched_at, batch.recipe.pitch_planned
    moment = parsed(pitched or planned or "")
    if moment is not None:
        parts.append(f"{'pitched' if pitched else 'pitching planned for'} {date(moment)}")
    return say("  ·  ".join(parts), *figures)


def _findings(outcome: Outcome) -> Iterator[Block]:
    sections = []
    for level, title in _GRAVE:
        told = tuple(finding.text for finding in outcome.findings if finding.level is level)
        if told:
            sections.append(Section(title, (Listing(told),)))
    if sections:
        yield Section("Doubts and cautions", tuple(sections), new_page=True)


def _learnt(outcome: Outcome, shelf: Catalogue) -> Iterator[Block]:
    """What earlier batches taught, with their names; and what is worth measuring."""
    learning, worth = of_recipe(outcome.batch), outcome.worth
    if learning.values:
        names = [literal(one.name) for one in learning.sources if not one.left_out]
        yield Section(
            "Learnt from earlier batches", (Listing((*told(outcome.batch, shelf), *(say(name) for name in names))),)
        )
    if worth is not None:
        yield Section("Worth measuring", (Listing((worth.words,)),))


def _sources(outcome: Outcome, shelf: Catalogue) -> Iterator[Block]:
    """Where the figures come from, each source once."""
    keys = {key for found in every_provenance(outcome, shelf).values() for key in found.all_sources}
    told = [_cited(source) for source in sorted((source_of(key, shelf) for key in keys), key=lambda one: one.citation)]
    if told:
        yield Section("Where the figures come from", tuple(told), columns=2)


def _cited(source: Source) -> Block:
    place = next((text for text in (source.where, source.detail) if _DOI in text), "")
    if not place:
        return Paragraph(source.citation, "small")
    doi = place[place.index(_DOI) + len(_DOI) :].split()[0].rstrip(".,;")
    return Link(source.citation, f"https://doi.org/{doi}")

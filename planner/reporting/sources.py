"""The part of the report that says where its figures come from."""

from __future__ import annotations

from typing import Any

from planner.evaluation.outcome import Outcome
from planner.evaluation.provenance import Provenance, every_provenance, source_of
from planner.reference.catalogue import Catalogue
from planner.reporting.said import Say
from planner.wording.phrases import tabled

_KEYS = {
    "must.volume": "volume_l",
    "must.mass": "mass_kg",
    "must.gravity": "gravity_sg20",
    "must.first": "gravity_at_first_sg20",
    "must.sugar": "fermentable_sugar_g_per_l",
    "must.acid": "acid_g_per_l_tartaric",
    "must.nitrogen": "nitrogen_mg_per_l",
    "finish.gravity": "gravity_sg20",
    "finish.dry_gravity": "dry_gravity_sg20",
    "finish.alcohol": "alcohol_pct_vol",
    "finish.sugar": "sugar_left_g_per_l",
    "finish.acid": "acid_g_per_l_tartaric",
    "finish.volume": "volume_l",
    "curve.gravity": "gravity_sg20",
}
"""What the report calls a result, where that is not the end of its key."""

_OF_MEAD = {
    "volume": "volume_l",
    "gravity": "gravity_sg20",
    "alcohol": "alcohol_pct_vol",
    "sweetness": "sweetness_g_per_l_sucrose",
    "viscosity": "body_mpa_s",
    "acid": "acid_g_per_l_tartaric",
    "fermentable": "fermentable_sugar_g_per_l",
    "extract": "extract_g_per_l",
}
_KEYS |= {f"{block}.{name}": told for block in ("stand", "mead") for name, told in _OF_MEAD.items()}
_KEYS |= {"stand.ph": "ph_before", "mead.ph": "ph_after"}


def sources_data(outcome: Outcome, shelf: Catalogue, say: Say = str) -> dict[str, dict[str, Any]]:
    """Where every result comes from, by block of the report ("must", "finish", "budget", "mead", ...) and its key there."""
    blocks: dict[str, dict[str, Any]] = {}
    for key, found in every_provenance(outcome, shelf).items():
        block, _, name = key.partition(".")
        blocks.setdefault(block, {})[_KEYS.get(key, name)] = _told(found, say)
    return blocks


def citations(outcome: Outcome, shelf: Catalogue) -> dict[str, str]:
    """Every source that the blocks name, once, as a citation by key."""
    named = {source for found in every_provenance(outcome, shelf).values() for source in found.all_sources}
    return {key: source_of(key, shelf).citation for key in sorted(named)}


def _told(found: Provenance, say: Say) -> dict[str, Any]:
    return {
        "method": say(tabled(found.method)),
        "sources": list(found.sources),
        "rests_on": [
            {"name": row.name, "status": str(row.status), "sources": list(row.sources)} for row in found.entering
        ],
        "assumptions": [say(tabled(text)) for text in found.assumptions],
    }

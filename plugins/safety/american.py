"""A job elsewhere than in England: its own sources, and in the United States its own words too."""

from __future__ import annotations

from dataclasses import replace

from listel.core.contract.findings import Source
from listel.core.contract.tables import load_table, open_table
from listel.plugins.safety.hazards import in_law
from listel.plugins.safety.results import Hazard

BRITAIN = ("england", "wales", "scotland", "")
"""Where the law of the table ``hazards`` holds, or may, since the region was not surveyed."""


def placed(hazard: Hazard, region: str) -> Hazard:
    """A hazard with the law and the sources of its region, where the table ``regional`` has them; with no law where it
    has none and the region is not of Great Britain."""
    own = {row["title"]: row for row in open_table(__package__, "hazards")}[hazard.name]
    rows = load_table(__package__, "regional")
    row = next((row for row in rows if own.name in row["hazards"] and region in row["regions"]), None)
    if row is None:
        return hazard if region in BRITAIN else replace(hazard, law="")
    kept = (source for source in hazard.grounds.sources if source not in own.sources)
    law = in_law(row.sources) if hazard.law else ""
    return replace(hazard, law=law, grounds=replace(hazard.grounds, sources=_once((*kept, *row.sources))))


def american(hazard: Hazard) -> Hazard:
    """A hazard with the words and the sources of the United States, where the table ``american`` has them."""
    table = load_table(__package__, "american")
    british = {row["title"]: row for row in open_table(__package__, "hazards")}[hazard.name]
    own = next((row.sources for row in table if row.get("hazard") == british.name), None)
    kept = hazard.grounds.sources
    if own is not None:
        kept = (*(source for source in kept if source not in british.sources), *own)
    return replace(
        hazard,
        name=in_american(hazard.name),
        because=in_american(hazard.because),
        controls=tuple(in_american(text) for text in hazard.controls),
        wear=tuple(in_american(text) for text in hazard.wear),
        prove=in_american(hazard.prove),
        law=in_law(own or ()) if hazard.law else "",
        grounds=replace(hazard.grounds, sources=_once(kept)),
    )


def in_american(text: str) -> str:
    """A text with the words of the trade as they are said in the United States."""
    for row in load_table(__package__, "american"):
        if row.get("british"):
            text = text.replace(row["british"], row["says"])
    return text


def _once(sources: tuple[Source, ...]) -> tuple[Source, ...]:
    return tuple(dict.fromkeys(sources))

"""What is bought by number: screws, nails and plugs by size, and pellets, each with some to spare."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil

from listel.core.contract.findings import Grounds, Input
from listel.core.survey.job import Job
from listel.core.survey.units import Units, show_fine, show_length
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.packs import sold
from listel.plugins.bonding.results import Fill, Material
from listel.plugins.fixings import Fixing, FixingSchedule

WORDS = {
    "screw": "screws",
    "plug-and-screw": "screws",
    "timber-wedge": "screws",
    "nail": "nails",
    "resin-anchor": "resin anchors",
    "cavity-fixing": "cavity fixings",
    "pin": "fine pins",
}
"""What each kind of fixing is bought as; the rest are called by their own names."""
PACKS = {"screws": "screws", "nails": "nails", "fine pins": "pins"}
"""The kind of pack of each."""


def counted(job: Job, schedule: FixingSchedule | None, fills: Iterable[Fill]) -> Iterator[Material]:
    """Fixings and plugs of the schedule by size, pellets for the heads that they stop."""
    lines = [line for line in schedule.lines if line.kind and line.count] if schedule else []
    for kind in dict.fromkeys(_pack(line) for line in lines):
        yield from _by_size(
            job, kind, ((_fixing(line, job.units), line.count) for line in lines if _pack(line) == kind)
        )
    yield from _by_size(job, "plugs", ((_plug(line), line.count) for line in lines if _plug(line)))
    heads = sum(fill.count or 0 for fill in fills if fill.filler == "timber-pellet")
    size = show_length(value("pellet-size"), job.units)
    yield from _by_size(job, "pellets", [(f"timber pellets of {size}, over the heads", heads)] if heads else [])


def _pack(line: Fixing) -> str:
    """The kind of pack a fixing is sold in; those that are called by their own names come as anchors do."""
    return PACKS.get(WORDS.get(line.kind, ""), "anchors")


def _fixing(line: Fixing, units: Units) -> str:
    """A fixing as it is bought: "screws, No. 8 x 70 mm, stainless steel"."""
    across = line.gauge or (show_fine(line.diameter, units) if line.diameter is not None else "")
    length = show_length(line.length, units) if line.length is not None else "length not known"
    name = WORDS.get(line.kind, f"{line.kind.replace('-', ' ')}s")
    size = " x ".join(part for part in (across, length) if part)
    return ", ".join(part for part in (name, size, line.metal.replace("-", " ")) if part)


def _plug(line: Fixing) -> str:
    return f"{line.plug}s" if line.plug else "timber wedges" if line.kind == "timber-wedge" else ""


def _by_size(job: Job, kind: str, found: Iterable[tuple[str, int]]) -> Iterator[Material]:
    counts: dict[str, int] = {}
    for name, count in found:
        counts[name] = counts.get(name, 0) + count
    spare = value("spare")
    for name, count in sorted(counts.items()):
        bought = ceil(count * (1 + spare / 100) - 1e-9)
        made = Material(
            name,
            float(bought),
            "each",
            f"{count} in the fixing schedule, {bought - count} to spare",
            Grounds(
                inputs=(
                    Input("fixings in the schedule", float(count)),
                    Input("spare", spare, "%", 0, True, note="own allowance"),
                ),
                formula="count of the fixing schedule and the spare, rounded up",
                worked=f"{count} x {1 + spare / 100:g}",
                result=f"{bought}",
                sources=allowance("spare").sources,
            ),
        )
        yield sold(kind, made, american=job.building.region == "united-states")

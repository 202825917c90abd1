"""Trim that comes near the opening of a fireplace, where the region has a distance for it. All mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from math import hypot

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import Row
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Opening
from listel.core.survey.units import show_length
from listel.plugins.setting_out.results import Run
from listel.plugins.site import flue_row, opening_name

RULES = load_rules(__package__)


def least_from_fire(row: Row, out: float) -> float:
    """How far from the opening of a fireplace trim that stands so far ``out`` from the wall stays [mm]: the least of
    the region, and as much more as it stands out, up to where nothing is asked. Source: the table of flues."""
    return float(min(row["beyond"], max(row["opening"], row["each"] * out)))


@dataclass(frozen=True, kw_only=True)
class _Near:
    """A run that comes nearer to the opening of a fireplace than it may."""

    run: Run
    opening: Opening
    out: float
    is_off: float
    needs: float


def near_fires(job: Job, runs: Iterable[Run]) -> Iterator[Finding]:
    """For each fireplace the trim that comes too near its opening by the most; where its surround was not surveyed,
    that it is to be. None where the region has no such distance."""
    row, worst = flue_row(job.building.region), dict[tuple[str, str, float], _Near]()
    for near in _near(job, row, runs) if row.get("opening") else ():
        key = (near.run.room, near.run.wall, near.opening.at)
        if key not in worst or near.needs - near.is_off > worst[key].needs - worst[key].is_off:
            worst[key] = near
    for near in worst.values():
        yield _told(job, row, near)


def _near(job: Job, row: Row, runs: Iterable[Run]) -> Iterator[_Near]:
    trims = {trim.name: trim for trim in job.trim}
    for run in runs:
        for opening in job.room(run.room).wall(run.wall).openings:
            if opening.kind != "fireplace":
                continue
            over = 0.0 if opening.height is None else max(0.0, (run.underside or 0.0) - opening.height)
            beside = max(0.0, opening.at - run.end, run.start - opening.end)
            out = run.off + (trims[run.trim].section.projection or 0.0)
            near = _Near(run=run, opening=opening, out=out, is_off=hypot(beside, over), needs=least_from_fire(row, out))
            if (beside or opening.height is not None) and near.is_off < near.needs - 0.5:
                yield near


def _told(job: Job, row: Row, near: _Near) -> Finding:
    run, show = near.run, partial(show_length, units=job.units)
    name = opening_name(job, near.opening)
    where = Where(run.room, run.wall, run.trim, station=run.start, line=job.line(near.opening))
    rule = (
        f"combustible trim stays {show(row['opening'])} from the opening of a fireplace, and within "
        f"{show(row['beyond'])} of it {row['each']:g} times as far as it stands out; local codes rule"
    )
    if near.opening.architrave is None:
        return RULES["fire-surround-not-surveyed"].lacking(
            f"the surround of the {name} on wall {run.wall} of the {run.room}",
            f"how near to the fire the {run.trim} comes, {show(near.is_off)} from what was listed: {rule}",
            where,
            "list the opening itself, and as its architrave how wide the surround that does not burn is at each side; "
            "0 for none",
        )
    return RULES["near-a-fire"].told(
        "hold",
        f"The {run.trim} on wall {run.wall} comes within {show(near.is_off)} of the opening of the {name}, and "
        f"{show(near.needs)} is the least for what stands {show(near.out)} out: {rule}.",
        where,
        Grounds(
            (
                Input("from the opening", near.is_off, "mm"),
                Input("out from the wall", near.out, "mm"),
                Input("surround", near.opening.architrave, "mm", job.line(near.opening, "architrave")),
            ),
            f"the least, or {row['each']:g} times as far as it stands out",
            result=f"{near.needs:.0f} mm",
            sources=(*row.sources, GEOMETRY),
        ),
        "stop it short, where it stands, with its to or from; or have what is there of stone, tile or plaster",
        near=near.is_off,
        needed=near.needs,
    )

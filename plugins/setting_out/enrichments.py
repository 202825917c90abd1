"""Enriched elements of a moulding: how often an ornament goes into a run, and what fills it evenly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job
from listel.core.survey.units import show_fine
from listel.plugins.setting_out.results import Run
from listel.plugins.setting_out.settings import allowed
from listel.plugins.site import tables

RULES = load_rules(__package__)


def repeats(length: float, pitch: float) -> tuple[int, float, float]:
    """How often an ornament of that pitch goes into a length [mm], the pitch that fills it evenly, and by what share
    that is off. Raises ValueError for a pitch of nothing. Source: arithmetic."""
    if pitch <= 0 or length <= 0:
        raise ValueError("a pitch and a length are above nothing")
    count = max(1, round(length / pitch))
    return count, length / count, length / count / pitch - 1


def enrichments(job: Job, runs: Sequence[Run]) -> Iterator[Finding]:
    """For each enriched element of each run: the count, and the pitch that fills the run evenly where it can be eased;
    advice where it comes out too far off, and is centred and stopped alike at both ends instead."""
    most, shown, sources = allowed("enrichment-eased")
    for run in runs:
        trim = job.trim_named(run.trim)
        for element in trim.profile:
            row = tables.elements().row(element.kind)
            if not row.get("pitch") or element.height <= 0:
                continue
            asked = row["pitch"] * element.height
            count, pitch, off = repeats(run.length, asked)
            name = element.kind.replace("-", " ")
            where = Where(run.room, run.wall, run.trim, line=job.line(element))
            eased = abs(off) * 100 <= most and not (row.get("cast") and abs(off) > 1e-9)
            inputs = (Input("run", run.length, "mm"), Input("usual pitch", asked, "mm"), shown)
            grounds = Grounds(
                inputs,
                "length over the usual pitch, to the nearest whole number",
                f"{run.length:.0f} / {asked:.1f}",
                f"{count} of {pitch:.2f} mm, {off:+.1%}",
                (GEOMETRY, *sources, *row.sources),
            )
            fits = f"{count} of {show_fine(pitch, job.units)}"
            if eased and row.get("block"):
                block = row["block"] * pitch
                fits += f", {show_fine(block, job.units)} wide with gaps of {show_fine(pitch - block, job.units)}"
            says = (
                f"The {name} of the {run.trim} on wall {run.wall}: {fits}."
                if eased
                else f"The {name} of the {run.trim} does not fill wall {run.wall} evenly at "
                f"{show_fine(asked, job.units)}: centre one on the wall and stop both ends alike."
            )
            yield RULES["enrichment"].told("record" if eased else "advice", says, where, grounds)

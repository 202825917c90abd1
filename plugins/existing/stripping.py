"""Old paint stripped: by which way, how hot, and whether its layers were recorded first."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Grounds, Input, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import Row, load_table, open_table
from listel.core.survey.job import Job
from listel.plugins.site import Protection, tables

RULES = load_rules(__package__)


def stripped_by(job: Job) -> Row | None:
    """The way by which old paint is stripped, with its columns; None where none is, or the way is not told."""
    if not job.work.strip_paint or job.work.strip_method is None:
        return None
    return open_table(__package__, "strippers").row(job.work.strip_method)


def stripping(job: Job, protection: Protection) -> Iterator[Finding]:
    """What is to be said where old paint is stripped."""
    if not job.work.strip_paint:
        return
    where = Where(line=job.line(job.work, "strip-paint"))
    if protection.asked:
        says = (
            "Old paint is to be stripped, and its layers are recorded first: two samples a room at least, one for each "
            "trim and time, all layers together, and one strip of 50 mm left as it is and shown on the plan."
        )
        yield RULES["layers-not-recorded"].told("hold", says, where, mend="Record the layers first.")
    row = stripped_by(job)
    if row is None:
        what = "how old paint is stripped"
        yield RULES["strip-method"].lacking(what, "what harms the timber, the glue and the house", where)
        return
    given = Input("strip-method", row.name, line=job.line(job.work, "strip-method"))
    if row.get("harms"):
        says = f"Old paint is to be stripped by {row['says']}: {row['harms']}."
        weight: Weight = "hold" if row.name == "flame" else "caution"
        yield RULES["strip-method"].told(
            weight, says, where, Grounds((given,), sources=row.sources), "Choose another way."
        )
    sour = [old.label for old in job.old_trim() if tables.is_sour(old.said.timber)] if row.get("blackens") else []
    if sour:
        says = f"Old paint is to be stripped by {row['says']}, and it blackens the timber of {', '.join(sour)}."
        grounds = Grounds((given,), sources=row.sources)
        yield RULES["strip-method"].told("caution", says, where, grounds, "Choose another way for it.")
    yield from _heat(job, row, where)


def _heat(job: Job, row: Row, where: Where) -> Iterator[Finding]:
    """The heat against what the region knows as too hot; against all of them where the region is not told."""
    heat, region = job.work.strip_heat, job.building.region
    if heat is None and row.get("heat"):
        what = f"how hot it gets with {row['says']}, in C or F"
        yield RULES["strip-heat"].lacking(what, "whether it chars the timber and sets lead free as fume", where)
    limits = [row for row in load_table(__package__, "heats") if region is None or region in row["regions"]]
    passed = [row for row in limits if heat is not None and heat > row["most"]]
    if heat is None or not passed:
        return
    said = " and ".join(f"{row['most']:g} C ({row['says']})" for row in passed)
    limit = (Input(row["says"], float(row["most"]), "C") for row in limits)
    inputs = (Input("heat", heat, "C", job.line(job.work, "strip-heat")), *limit)
    grounds = Grounds(inputs, "the strictest counts", sources=tuple(s for row in passed for s in row.sources))
    weight: Weight = "hold" if any(row["weight"] == "hold" for row in passed) else "caution"
    says = f"Paint is to be stripped at {heat:g} C, over {said}: it sets lead free as fume, and fires what lies behind."
    mend = f"Work below {min(row['most'] for row in limits):g} C, or another way."
    yield RULES["strip-heat"].told(weight, says, where, grounds, mend, heat=heat)

"""Old paint stripped: by which way, how hot, and whether its layers were recorded first."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Grounds, Input, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import Row, open_table
from listel.core.survey.job import Job
from listel.plugins.existing import figures
from listel.plugins.site import Protection

RULES = load_rules(__package__)

LIMITS = ("heat-navy", "heat-household", "heat-epa")


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
    if protection.asked and not any(record.step == "paint-record" for record in job.records):
        says = (
            "Old paint is to be stripped, and no record of its layers is made: two samples a room at least, one for "
            "each "
            "trim and time, all layers together, and one strip of 50 mm left as it is and shown on the plan."
        )
        mend = "Record the layers first."
        yield RULES["layers-not-recorded"].told(
            "hold",
            says,
            where,
            Grounds(sources=RULES["layers-not-recorded"].sources),
            mend,
            "records, step paint-record",
        )
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
    yield from _heat(job, row, where)


def _heat(job: Job, row: Row, where: Where) -> Iterator[Finding]:
    heat = job.work.strip_heat
    if heat is None and row.get("heat"):
        what = f"how hot it gets with {row['says']}, in C or F"
        yield RULES["strip-heat"].lacking(what, "whether it chars the timber and sets lead free as fume", where)
    passed = [figures.figure(name) for name in LIMITS if heat is not None and heat > figures.value(name)]
    if heat is None or not passed:
        return
    kept = [figures.figure(name) for name in LIMITS if figures.value(name) not in [row["value"] for row in passed]]
    said = ", ".join(f"{row['value']:g} C ({row.note})" for row in passed)
    less = ", ".join(f"{row['value']:g} C" for row in kept)
    under = f" It keeps to {less}." if kept else ""
    inputs = (Input("heat", heat, "C", job.line(job.work, "strip-heat")), *(figures.shown(name) for name in LIMITS))
    grounds = Grounds(inputs, "the strictest counts", sources=tuple(s for row in passed for s in row.sources))
    weight = "hold" if not kept else "caution"
    says = (
        f"Paint is to be stripped at {heat:g} C, over {said}.{under} Keep a fire watch of 3 hours after the last heat."
    )
    yield RULES["strip-heat"].told(weight, says, where, grounds, "Use the lowest heat that works.", heat=heat)  # type: ignore[arg-type]

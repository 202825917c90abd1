"""The stage: the estimate of the job, and what of it cannot be told."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Grounds, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Said, Sheet
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job, Trim
from listel.core.survey.messages import did_you_mean
from listel.plugins.estimate.rates import Rates
from listel.plugins.estimate.results import Estimate
from listel.plugins.estimate.summing import estimate, matching
from listel.plugins.existing import Existing
from listel.plugins.setting_out import SettingOut

RULES = load_rules(__package__)


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """The estimate by the rates that were given, else its quantities."""
    found = estimate(job, sheet, sheet.get(Rates))
    set_out = {run.trim for run in (sheet.get(SettingOut) or SettingOut()).laid}
    only_mend = (sheet.get(Existing) or Existing()).only_mend(job.trim, set_out)
    for trim in job.trim:
        if trim.name not in set_out | only_mend:
            yield _without_quantity(job, sheet, trim)
    yield from _of_nothing(job, found)
    yield found


def _without_quantity(job: Job, sheet: Sheet, trim: Trim) -> Finding:
    """What is to be said of a trim that was not set out: the holds on it, where there are any, else what was not
    surveyed."""
    where = Where(trim=trim.name, line=job.line(trim))
    said = (sheet.get(Said) or Said()).findings
    holds = [finding for finding in said if finding.open_hold and finding.where.trim == trim.name]
    if not holds:
        return RULES["quantity-not-known"].lacking(
            f"where the {trim.name} goes and how long it is",
            "how much of it there is to price",
            where,
            "give its place, the lengths of the walls there, and the window, door or panel it is for",
        )
    named = "; ".join(dict.fromkeys(f"{hold.rule} ({hold.where.told(job.units)})" for hold in holds))
    return RULES["quantity-held"].told(
        "caution",
        f"Nothing of the {trim.name} is in the estimate while it is held by {named}.",
        where,
        Grounds(formula="what a hold keeps from being set out has no length", sources=RULES["quantity-held"].sources),
        "; ".join(dict.fromkeys(hold.mend for hold in holds)),
    )


def _of_nothing(job: Job, found: Estimate) -> Iterator[object]:
    works = [row.name for row in load_table(__package__, "works")]
    for told in job.actual:
        if not matching(found.items, told.work, told.room, told.trim):
            meant = "" if told.work in works else did_you_mean(told.work, works, "the kinds of work are")
            says = f"What {told.work} took is told, but the estimate has no such line there.{meant}"
            where = Where(told.room, trim=told.trim, line=job.line(told))
            yield RULES["actual-of-nothing"].told(
                "advice", says, where, mend="Name the work, room and trim as they do."
            )

"""The stage: the estimate of the job, and what of it cannot be told."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job
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
            where = Where(trim=trim.name, line=job.line(trim))
            yield RULES["quantity-not-known"].lacking(
                f"where the {trim.name} goes and how long it is",
                "how much of it there is to price",
                where,
                "give its place, the lengths of the walls there, and the window, door or panel it is for",
            )
    yield from _of_nothing(job, found)
    yield found


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

"""A job set out by the two stages that it takes, for the laws."""

from __future__ import annotations

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job
from listel.plugins.closure import Closures
from listel.plugins.closure.stage import examine as close
from listel.plugins.setting_out import SettingOut
from listel.plugins.setting_out.stage import examine
from listel.plugins.site import Site, site_of


def set_out(job: Job) -> tuple[SettingOut, list[Finding]]:
    """What is set out of a job, and what is told of it."""
    sheet: dict[type, object] = {Site: site_of(job)}
    sheet |= {Closures: next(each for each in close(job, Sheet(sheet)) if isinstance(each, Closures))}
    found = list(examine(job, Sheet(sheet)))
    (out,) = (each for each in found if isinstance(each, SettingOut))
    return out, [each for each in found if isinstance(each, Finding)]

"""A job set out by the two stages that it takes, for the laws."""

from __future__ import annotations

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job
from listel.plugins.closure.stage import examine as close
from listel.plugins.cutting.jointing import examine_joints
from listel.plugins.defects.checks import examine as examine_defects
from listel.plugins.setting_out import SettingOut
from listel.plugins.setting_out.stage import examine, examine_runs
from listel.plugins.site import Site, site_of


def set_out(job: Job) -> tuple[SettingOut, list[Finding]]:
    """What is set out of a job, and what is told of it."""
    results: dict[type, object] = {Site: site_of(job)}
    said: list[Finding] = []
    for stage in (close, examine_defects, examine_runs, examine_joints, examine):
        for thing in stage(job, Sheet(results)):
            said.append(thing) if isinstance(thing, Finding) else results.setdefault(type(thing), thing)
    out = results[SettingOut]
    assert isinstance(out, SettingOut)
    return out, said

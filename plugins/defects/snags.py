"""What to look for after each step."""

from __future__ import annotations

from listel.core.contract.findings import Grounds
from listel.core.contract.tables import Row, load_table
from listel.core.survey.job import Job
from listel.plugins.defects.results import Snag


def snag_list(job: Job) -> tuple[Snag, ...]:
    """The snags that this job's members and finishes can have, in the order of the work."""
    rows = [row for row in load_table(__package__, "snags") if _applies(row, job)]
    return tuple(
        Snag(
            stage=row["stage"],
            look_for=row["look"],
            limit=row["limit"],
            value=row.get("value"),
            how=row["how"],
            grounds=Grounds(sources=row.sources),
        )
        for row in rows
    )


def _applies(row: Row, job: Job) -> bool:
    members, finishes = row.get("members"), row.get("finishes")
    if row["stage"] == "caulk" and job.choices.sealant == "none":
        return False
    return any(
        (members is None or trim.member in members)
        and (finishes is None or trim.finish is None or trim.finish in finishes)
        for trim in job.trim
    )

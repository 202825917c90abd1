"""What to look for after each step."""

from __future__ import annotations

from listel.core.contract.findings import Grounds
from listel.core.contract.tables import Row, load_table
from listel.core.survey.job import Job
from listel.plugins.defects.results import Snag


def snag_list(job: Job) -> tuple[Snag, ...]:
    """The snags that this job's members and finishes can have, in the order of the work."""
    found = ((row, _members(row, job)) for row in load_table(__package__, "snags"))
    return tuple(
        Snag(
            stage=row["stage"],
            look_for=row["look"],
            limit=row["limit"],
            value=row.get("value"),
            how=row["how"],
            members=members,
            corner=bool(row.get("corner")),
            grounds=Grounds(sources=row.sources),
        )
        for row, members in found
        if members
    )


def _members(row: Row, job: Job) -> tuple[str, ...]:
    """The members of a job that can have a snag."""
    members, finishes = row.get("members"), row.get("finishes")
    if row["stage"] == "caulk" and job.choices.sealant == "none":
        return ()
    return tuple(
        dict.fromkeys(
            trim.member
            for trim in job.trim
            if (members is None or trim.member in members)
            and (finishes is None or trim.finish is None or trim.finish in finishes)
        )
    )

"""The hand-over pack: what was done and with what, how to care for it, what comes off and how, what is on record."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from listel.core.host.engine import Outcome
from listel.core.survey.job import Record
from listel.plugins.bonding import Bonding, Material
from listel.plugins.setting_out import SettingOut
from listel.reports.drawings import draw
from listel.reports.drawings.paper import Drawing
from listel.reports.fabric import Stuck, Touched, stuck, touched
from listel.reports.opening import Run, runs
from listel.reports.papers import About, Leaf

NAMED = "hand-over pack"
LARGE = False


@dataclass(frozen=True, kw_only=True)
class Done:
    """The first sheet: the trim and where it runs, the rooms as they are, what it was made of."""

    runs: tuple[Run, ...]
    timber: tuple[tuple[str, str, str], ...]
    materials: tuple[Material, ...]
    pictures: tuple[Drawing, ...]


@dataclass(frozen=True, kw_only=True)
class Keep:
    """The last sheets: care, what comes off, records."""

    touched: tuple[Touched, ...]
    stuck: tuple[Stuck, ...]
    records: tuple[Record, ...]
    paint: str
    hangs: tuple[tuple[str, float], ...]
    rooms: tuple[str, ...]
    evidence: int


def leaves(outcome: Outcome, about: About) -> Iterator[Leaf]:
    """Four sheets at most for a job of a few rooms."""
    job, bonding = outcome.job, outcome.sheet.get(Bonding)
    setting_out = outcome.sheet.get(SettingOut)
    timber = tuple(
        (trim.name, (trim.timber or "timber not surveyed").replace("-", " "), trim.finish or "") for trim in job.trim
    )
    done = Done(
        runs=tuple(runs(outcome)),
        timber=timber,
        materials=bonding.materials if bonding else (),
        pictures=tuple(draw("picture", outcome, room=room.name, wide=90.0, tall=60.0) for room in job.rooms[:4]),
    )
    yield Leaf(name="done", title="What was done, and with what", template="handover/done.html.j2", view=done)
    keep = Keep(
        touched=tuple(touched(outcome)),
        stuck=tuple(stuck(outcome)),
        records=tuple(job.records),
        paint=job.choices.paint or "",
        hangs=tuple((trim.name, trim.load) for trim in job.trim if trim.load),
        rooms=tuple(dict.fromkeys(run.room for run in setting_out.runs)) if setting_out else (),
        evidence=sum(len(room.evidence) for room in job.rooms),
    )
    yield Leaf(name="keep", title="Care, and how it comes off", template="handover/keep.html.j2", view=keep)
    yield Leaf(name="record", title="Records, photographs, who to call", template="handover/record.html.j2", view=keep)

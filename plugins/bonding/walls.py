"""What each wall offers, and how long each trim runs on it."""

from __future__ import annotations

from collections.abc import Iterable

from listel.core.contract.findings import Input
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.setting_out import Run
from listel.plugins.site import tables


@dataclass(frozen=True)
class Face:
    """One trim on one wall, with the length of its runs there [mm]."""

    room: Room
    wall: Wall
    trim: Trim
    length: float

    @property
    def offers(self) -> str:
        """What glue meets: masonry, gypsum, lime, timber, none; "" where the wall's make-up is not surveyed."""
        row = tables.makeup(self.wall)
        return str(row["offers"]) if row else ""

    @property
    def finish(self) -> str | None:
        """The finish on the wall; None if it is not surveyed."""
        return self.wall.substrate.face if self.wall.substrate else None

    @property
    def condition(self) -> str | None:
        """The condition of the wall; None if it is not surveyed."""
        return self.wall.substrate.condition if self.wall.substrate else None

    def inputs(self, job: Job) -> tuple[Input, ...]:
        """Everything about the wall that decides what may be glued to it."""
        found = []
        substrate = self.wall.substrate
        for name, value in (("make-up of the wall", substrate.kind if substrate else None), ("finish", self.finish)):
            key = "kind" if name.startswith("make-up") else "finish"
            line = job.line(substrate, key) if substrate and value else job.line(self.wall)
            found.append(Input(name, value or "not surveyed", "", line))
        if self.condition:
            found.append(Input("condition", self.condition, "", job.line(substrate, "condition") if substrate else 0))
        if self.wall.moisture is not None:
            found.append(Input("moisture of the wall", self.wall.moisture, "%", job.line(self.wall, "moisture")))
        return tuple(found)


def faces(job: Job, runs: Iterable[Run]) -> tuple[Face, ...]:
    """Every trim on every wall where it runs, with the length of its runs there."""
    trims = {trim.name: trim for trim in job.trim}
    lengths: dict[tuple[str, str, str], float] = {}
    for run in runs:
        key = (run.room, run.wall, run.trim)
        lengths[key] = lengths.get(key, 0.0) + run.length
    return tuple(
        Face(job.room(room), job.room(room).wall(wall), trims[trim], length)
        for (room, wall, trim), length in lengths.items()
    )

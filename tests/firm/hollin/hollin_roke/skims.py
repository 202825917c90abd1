"""Trim on a wall with our skim is fixed closely, and what listel doubts of such a wall's fixing is settled by that."""

from collections.abc import Iterator

from listel import Grounds, Input, Job, Sheet, Where, cures, load_rules, sets
from listel.plugins.fixings import FixingSchedule

RULES = load_rules(__package__)
MOST = 280.0
"""The greatest spacing on a skimmed wall, mm."""
THICK = 3.0
"""A skim thicker than this is fixed closely, mm."""


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Set the spacing on skimmed walls."""
    for line in sheet[FixingSchedule].lines:
        own = job.room(line.room).wall(line.wall).own.get("hollin-roke", {})
        where = Where(line.room, line.wall, line.trim)
        if line.most_spacing is None or "skim" not in own:
            continue
        skim = own["skim"]
        if skim > THICK and line.most_spacing > MOST:
            yield sets(line, most_spacing=MOST)
            yield cures(
                line, "fixings/studs-too-far-apart", "our skim is keyed to the reed, and holds between the studs"
            )
            inputs = (Input("our skim", skim, "mm"), Input("ours", MOST, "mm"))
            grounds = Grounds(inputs, "the smaller of the two", f"min({line.most_spacing:g}, {MOST:g})", f"{MOST:g} mm")
            says = f"Wall {line.wall} has our skim, {skim:g} mm thick: fixings stand {MOST:g} mm apart at most."
            yield RULES["skimmed"].told("record", says, where, grounds, skim=skim, most=MOST)

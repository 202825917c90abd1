"""What the stage says of clashes: what the rail meets or nearly meets, and the nearest height that clears."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Weight, Where
from listel.plugins.heights.candidates import Offer
from listel.plugins.heights.case import Case
from listel.plugins.heights.clashing import Judged
from listel.plugins.heights.obstacles import Obstacle, clearance_row
from listel.plugins.heights.orders import table
from listel.plugins.heights.results import Clash

Met = Sequence[tuple[Obstacle, Clash]]


def clash_findings(case: Case, judged: Judged, chosen: Offer) -> Iterator[Finding]:
    """What the chosen line meets or nearly meets, kind by kind, each with the nearest height that clears."""
    mend = _mend(case, judged, chosen)
    kinds: dict[tuple[str, bool], list[tuple[Obstacle, Clash]]] = defaultdict(list)
    for obstacle, clash in judged.met:
        kinds[(obstacle.kind, clash.misses < 0)].append((obstacle, clash))
    for (kind, meets), met in kinds.items():
        yield _clash(case, chosen, kind, meets, met, mend)
    if judged.at_half:
        row = table("limits").row("half-within")
        says = f"At {case.show(chosen.height)} the {case.rail} seems to cut the wall of {case.room.name} in half."
        inputs = (Input("top of the rail", chosen.height, "mm"), case.height_input, Input("share", row["value"]))
        formula = "never at half of the room height, nor within that share of it"
        grounds = Grounds(inputs, formula, sources=row.sources)
        yield Finding("heights/rail-at-half", "caution", says, case.where, grounds, mend)
    yield from _proud(case)


def _clash(case: Case, chosen: Offer, kind: str, meets: bool, met: Met, mend: str) -> Finding:
    row, top = clearance_row(kind), chosen.height
    first = met[0][1]
    what = "runs into" if meets else "comes too near"
    places = ", ".join(_place(case, obstacle, clash) for obstacle, clash in met)
    says = f"At {case.show(top)} the {case.rail} in {case.room.name} {what} {places}."
    if row.get("line"):
        formula = "a rail meets a level line or stands well clear of it; a near miss looks like a mistake"
    else:
        formula = "clear height between the rail and what is on the wall, against the clearance wanted"
    inputs = (
        Input("top of the rail", top, "mm"),
        case.face,
        *(_obstacle_input(case, obstacle) for obstacle, _ in met),
        Input("clearance wanted", row["needs"], "mm"),
    )
    worked = ", ".join(f"wall {clash.wall}: {case.show(clash.misses)}" for _, clash in met)
    weight: Weight = row["meets"] if meets else "caution"
    if row.get("line") and chosen.group == "room-evidence":
        weight, mend = "advice", f"The old rail missed it too, if the mark is sound; keep to the mark. {mend}"
    where = Where(case.room.name, first.wall, case.trim_name, "", first.station, top, case.where.line)
    grounds = Grounds(inputs, formula, worked, sources=row.sources)
    return Finding(f"heights/rail-{'meets' if meets else 'near'}-{kind}", weight, says, where, grounds, mend)


def _obstacle_input(case: Case, obstacle: Obstacle) -> Input:
    reach = case.show(obstacle.low)
    if obstacle.high > obstacle.low:
        reach += f" to {case.show(obstacle.high)}"
    note = "its depth up the wall is assumed" if obstacle.assumed_depth else ""
    name = f"{obstacle.printed} on wall {obstacle.wall}, above the floor"
    return Input(name, reach, "", obstacle.survey_line, obstacle.assumed_depth, note)


def _place(case: Case, obstacle: Obstacle, clash: Clash) -> str:
    gap = case.show(abs(clash.misses))
    by = f"by {gap}" if clash.misses < 0 else f"with {gap} clear where {case.show(clash.needs)} is wanted"
    return f"{obstacle.printed} on wall {obstacle.wall} at {case.show(obstacle.station)} ({by})"


def _mend(case: Case, judged: Judged, chosen: Offer) -> str:
    if judged.offered is None:
        reach = case.show(table("limits").row("reach")["value"])
        return f"No height within {reach} clears everything; move the fitting, or stop the rail each side of it."
    offer = f"the nearest top that clears everything is {case.show(judged.offered)}."
    if chosen.group == "room-evidence":
        return f"Where the mark decides, a fitting is moved rather than the rail; otherwise {offer}"
    return offer[0].upper() + offer[1:]


def _proud(case: Case) -> Iterator[Finding]:
    """Advice where the rail stands out further than the architrave it dies into."""
    out = case.trim.section.projection if case.trim is not None else None
    if out is None or not any(True for _ in case.openings()):
        return
    for trim in case.job.trim:
        here = trim.member == "architrave" and any(place.room == case.room.name for place in trim.where)
        less = trim.section.projection if here else None
        if less is not None and out > less:
            says = (
                f"The {case.rail} in {case.room.name} stands {case.show(out - less)} further out than {trim.name}, "
                "so its end shows beside the architrave."
            )
            inputs = (
                Input("projection of the rail", out, "mm"),
                Input("projection of the architrave", less, "mm", case.job.line(trim.section, "projection")),
            )
            formula = "projection of the rail less that of the architrave"
            grounds = Grounds(inputs, formula, "", case.show(out - less), (GEOMETRY,))
            mend = "Return or splay the rail's end, or use a deeper architrave."
            yield Finding("heights/rail-proud-of-architrave", "advice", says, case.where, grounds, mend)
            return

"""What the stage says of clashes: what the rail meets or nearly meets, and the nearest height that clears."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Weight, Where
from listel.core.contract.rules import load_rules
from listel.plugins.heights.candidates import Offer
from listel.plugins.heights.case import Case
from listel.plugins.heights.clashing import Judged
from listel.plugins.heights.obstacles import Obstacle, clearance_row
from listel.plugins.heights.orders import table

RULES = load_rules(__package__)


def clash_findings(case: Case, judged: Judged, chosen: Offer) -> Iterator[Finding]:
    """What the chosen line runs into, comes too near or meets, kind by kind, each with what mends it."""
    top, face = chosen.height, case.depth
    kinds: dict[tuple[str, bool], list[Obstacle]] = defaultdict(list)
    for one in judged.near:
        kinds[(one.kind, one.clearance(top, face) < 0)].append(one)
    for (kind, overlaps), found in kinds.items():
        if found[0].line and not (overlaps and found[0].high > found[0].low):
            yield _line(case, chosen, judged, found)
        else:
            yield _fitting(case, chosen, judged, kind, overlaps, found)
    if judged.beside:
        yield _beside(case, chosen, judged.beside)
    if judged.met:
        yield _met(case, chosen, judged.met)
    if judged.at_half:
        row = table("limits").row("half-within")
        says = f"At {case.show(top)} the {case.rail} in the {case.room.name} seems to cut the wall in half."
        inputs = (Input("top of the rail", top, "mm"), case.height_input, Input("share", row["value"]))
        formula = "never at half of the room height, nor within that share of it"
        grounds = Grounds(inputs, formula, sources=row.sources)
        yield RULES["rail-at-half"].told("caution", says, case.where, grounds, _mend(case, judged, chosen), top=top)
    yield from _proud(case)


def _fitting(
    case: Case, chosen: Offer, judged: Judged, kind: str, overlaps: bool, found: Sequence[Obstacle]
) -> Finding:
    """The rail runs into a fitting, or leaves too little beside it."""
    top = chosen.height
    clear = min(one.clearance(top, case.depth) for one in found)
    what = "runs into" if overlaps else "comes too near"
    places = ", ".join(_place(case, one, top) for one in found)
    says = f"At {case.show(top)} the {case.rail} in the {case.room.name} {what} {places}."
    formula = "clear height between the rail and what is on the wall, against the clearance wanted"
    grounds = _grounds(case, top, found, formula)
    mend = _mend(case, judged, chosen, found)
    if overlaps:
        weight: Weight = clearance_row(kind)["meets"]
        return RULES["rail-meets-fitting"].told(weight, says, _where(case, found[0], top), grounds, mend, clear=clear)
    return RULES["rail-near-fitting"].told("caution", says, _where(case, found[0], top), grounds, mend, clear=clear)


def _line(case: Case, chosen: Offer, judged: Judged, found: Sequence[Obstacle]) -> Finding:
    """The rail neither meets a level line nor stands well clear of it."""
    top = chosen.height
    says = f"The {case.rail} in the {case.room.name} nearly lines up with {_lines(case, found, top)}."
    mend = _mend(case, judged, chosen, found)
    weight: Weight = "caution"
    if chosen.group == "room-evidence":
        weight, mend = "advice", "The old rail missed it too, if the mark is sound; keep to the mark."
    formula = "an edge of the rail meets a level line or stands well clear of it; a near miss looks like a mistake"
    where, grounds = _where(case, found[0], top), _grounds(case, top, found, formula)
    return RULES["rail-against-line"].told(weight, says, where, grounds, mend, off=_off(case, found[0], top))


def _beside(case: Case, chosen: Offer, found: Sequence[Obstacle]) -> Finding:
    """The rail is nearly in line with a lock rail, which British habit lines it up with."""
    top = chosen.height
    says = f"The {case.rail} in the {case.room.name} nearly lines up with {_lines(case, found, top)}."
    level = case.show(found[0].low - found[0].shift)
    mend = f"With its top at {level} it would line up, as was usual in British rooms."
    formula = "a dado rail was often lined up with the moulding over the lock rail"
    where, grounds = _where(case, found[0], top), _grounds(case, top, found, formula)
    return RULES["rail-against-line"].told("advice", says, where, grounds, mend, off=_off(case, found[0], top))


def _met(case: Case, chosen: Offer, found: Sequence[Obstacle]) -> Finding:
    top = chosen.height
    named = ", ".join(dict.fromkeys(f"{one.printed} on wall {one.wall}" for one in found))
    says = f"The {case.rail} in the {case.room.name} meets {named}."
    grounds = _grounds(case, top, found, "an edge of the rail lies level with the line")
    where = _where(case, found[0], top)
    return RULES["rail-against-line"].told("record", says, where, grounds, off=_off(case, found[0], top))


def _off(case: Case, one: Obstacle, top: float) -> float:
    """From a line to the nearest edge of the rail that could meet it, mm; above 0 where the rail stands higher."""
    return min((top - hit for hit in one.hits(case.depth)), key=abs)


def _lines(case: Case, found: Sequence[Obstacle], top: float) -> str:
    return ", ".join(
        f"{one.printed} on wall {one.wall} at {case.show(one.station)} ({case.show(abs(_off(case, one, top)))} off)"
        for one in found
    )


def _where(case: Case, one: Obstacle, top: float) -> Where:
    return replace(case.where, wall=one.wall, station=one.station, height=top)


def _grounds(case: Case, top: float, found: Sequence[Obstacle], formula: str) -> Grounds:
    row = clearance_row(found[0].kind)
    inputs = (
        Input("top of the rail", top, "mm"),
        case.face,
        *(_obstacle_input(case, one) for one in found),
        Input("clearance wanted", row["needs"], "mm"),
    )
    worked = ", ".join(f"wall {one.wall}: {case.show(one.clearance(top, case.depth))} clear" for one in found)
    return Grounds(inputs, formula, worked, sources=row.sources)


def _obstacle_input(case: Case, obstacle: Obstacle) -> Input:
    reach = case.show(obstacle.low)
    if obstacle.high > obstacle.low:
        reach += f" to {case.show(obstacle.high)}"
    note = "its depth up the wall is assumed" if obstacle.assumed_depth else ""
    name = f"{obstacle.printed} on wall {obstacle.wall}, above the floor"
    return Input(name, reach, "", obstacle.survey_line, obstacle.assumed_depth, note=note)


def _place(case: Case, obstacle: Obstacle, top: float) -> str:
    clear = obstacle.clearance(top, case.depth)
    gap = case.show(abs(clear))
    by = f"by {gap}" if clear < 0 else f"{gap} clear, {case.show(obstacle.needs)} wanted"
    return f"{obstacle.printed} on wall {obstacle.wall} at {case.show(obstacle.station)} ({by})"


def _mend(case: Case, judged: Judged, chosen: Offer, found: Sequence[Obstacle] = ()) -> str:
    """What to do: move what can be moved, or the rail; where a mark decides, the rail last."""
    names = dict.fromkeys(one.printed.removeprefix("a ").removeprefix("an ").removeprefix("the ") for one in found)
    move = f"move the {' and the '.join(names)}" if found and all(one.moves for one in found) else ""
    if judged.offered is None:
        reach = case.show(table("limits").row("reach")["value"])
        ways = [move, f"stop the rail each side; no height within {reach} clears everything"]
    else:
        way = "lower" if judged.offered < chosen.height else "raise"
        ways = [f"{way} the rail to {case.show(judged.offered)}", move]
        if chosen.group == "room-evidence":
            ways.reverse()
    says = ", or ".join(way for way in ways if way)
    return f"{says[0].upper()}{says[1:]}."


def _proud(case: Case) -> Iterator[Finding]:
    """Advice where the rail stands out further than the architrave it dies into."""
    out = case.trim.section.projection if case.trim is not None else None
    if out is None or not any(True for _ in case.openings()):
        return
    architraves = [
        (trim.section.projection, trim) for trim in case.job.trims_in(case.room.name) if trim.member == "architrave"
    ]
    told = [(less, trim) for less, trim in architraves if less is not None and out > less]
    if not told:
        return
    less, trim = min(told, key=lambda pair: pair[0])
    others = f", and further than {len(told) - 1} more" if len(told) > 1 else ""
    says = (
        f"The {case.rail} in the {case.room.name} stands {case.show(out - less)} further out than {trim.name}{others}, "
        "so its end shows beside the architrave."
    )
    inputs = (
        Input("projection of the rail", out, "mm"),
        Input("projection of the architrave", less, "mm", case.job.line(trim.section, "projection")),
    )
    formula = "projection of the rail less that of the architrave"
    grounds = Grounds(inputs, formula, "", case.show(out - less), (GEOMETRY,))
    mend = "Return or splay the rail's end, or use a deeper architrave."
    yield RULES["rail-proud-of-architrave"].told("advice", says, case.where, grounds, mend, proud=out - less)

"""Laws of the drawings over random walls: no lettering overlaps, none is too small, everything is on the paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st
from strategies import FEW

from listel.core.contract.stage import Sheet
from listel.core.host.outcome import Outcome
from listel.core.survey.job import (
    Corner,
    Fitting,
    HeightReading,
    Job,
    LevelReading,
    Opening,
    ProfileElement,
    Reading,
    Room,
    Section,
    Studs,
    Substrate,
    Trim,
    Wall,
)
from listel.plugins.cutting import Cut, CutBoard, CuttingList, TrimCutting
from listel.plugins.fixings import Fixing, FixingPoint, FixingSchedule
from listel.plugins.proportions import MemberProportion, OrderShares, Proportions
from listel.plugins.sequence import JobStep, Sequence
from listel.plugins.setting_out import Piece, PieceEnd, RakedProfile, Run, SettingOut
from listel.reports.drawings import draw
from listel.reports.drawings.layout import Span, rows_of, spread
from listel.reports.drawings.paper import SMALL, Box, Drawing, Taken, letters_width, text_boxes
from listel.reports.drawings.small_plan import small_plan
from listel.reports.drawings.strip import Level

NAMES = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=60)
UNITS = st.sampled_from(("mm", "inches"))
LETTER = 279.4 - 14 - 12 - 11
"""What the shorter paper leaves a sheet of sections under its heading, mm; see ``pack.css``."""


def faults(*drawings: Drawing) -> list[str]:
    """What is wrong with drawings: the laws that hold for every one."""
    return [fault for drawing in drawings for fault in _faults(drawing)]


def overlap(one: Box, other: Box) -> bool:
    """Whether two share any area to speak of."""
    return max(one.x0, other.x0) + 0.01 < min(one.x1, other.x1) and max(one.y0, other.y0) + 0.01 < min(one.y1, other.y1)


def _faults(drawing: Drawing) -> Iterator[str]:
    boxes = text_boxes(drawing.svg)
    for number, (words, box) in enumerate(boxes):
        yield from (f"{words!r} lies over {other!r}" for other, at in boxes[:number] if overlap(box, at))
    root = ElementTree.fromstring(drawing.svg)
    x, y, width, height = (float(value) for value in root.get("viewBox", "").split())
    for words, box in boxes:
        if box.x0 < x or box.x1 > x + width or box.y0 < y or box.y1 > y + height:
            yield f"{words!r} is off the paper"
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        if float(text.get("font-size", "0")) < SMALL - 0.01:
            yield f"{text.text!r} is too small"
    if root.get("role") != "img" or [child.tag.split("}")[1] for child in root[:2]] != ["title", "desc"]:
        yield "it has no title or no description"
    for sheet in drawing.further:
        yield from _faults(sheet)


@st.composite
def walls(draw_: st.DrawFn, name: str) -> Wall:
    length = draw_(st.one_of(st.none(), st.floats(50, 30000)))
    reach = length or 5000.0
    stations = st.floats(0, reach)
    openings = draw_(
        st.lists(
            st.builds(
                Opening,
                st.sampled_from(("door", "window", "fireplace", "archway")),
                stations,
                st.floats(20, 3000),
                st.one_of(st.none(), st.floats(100, 3000)),
                st.one_of(st.none(), st.floats(0, 1500)),
                architrave=st.one_of(st.none(), st.floats(20, 200)),
            ),
            max_size=5,
        )
    )
    optional = st.one_of(st.none(), st.floats(1, 2400))
    fittings = draw_(
        st.lists(
            st.builds(
                Fitting, st.sampled_from(("socket", "gas-pipe")), stations, optional, optional, optional, name=NAMES
            ),
            max_size=25,
        )
    )
    readings = st.lists(st.builds(LevelReading, stations, st.floats(200, 2000)), max_size=4)
    return Wall(
        name,
        Reading(length) if length else None,
        Corner("internal", draw_(st.one_of(st.none(), st.floats(30, 170)))),
        Substrate("lime-on-lath", studs=Studs(draw_(st.floats(50, 700)))),
        floor=tuple(draw_(readings)),
        ceiling=tuple(draw_(readings)),
        openings=tuple(openings),
        fittings=tuple(fittings),
    )


@st.composite
def outcomes(draw_: st.DrawFn) -> Outcome:
    room = Room(
        draw_(NAMES),
        height=tuple(draw_(st.lists(st.builds(HeightReading, st.floats(1500, 6000)), max_size=2))),
        datum=draw_(st.one_of(st.none(), st.floats(300, 1500))),
        walls=tuple(draw_(walls(name)) for name in "ABCDE"[: draw_(st.integers(1, 5))]),
    )
    runs, pieces, fixings = [], [], []
    for number, trim in enumerate(draw_(st.lists(NAMES, max_size=7, unique=True))):
        for wall in room.walls:
            reach = wall.length.value if wall.length else 3000.0
            start = draw_(st.floats(0, reach * 0.9))
            end = draw_(st.floats(start + 1, reach + 2))
            top = draw_(st.floats(10, 3000))
            runs.append(
                Run(
                    room=room.name,
                    wall=wall.name,
                    trim=trim,
                    member="dado-rail",
                    start=start,
                    end=end,
                    underside=max(top - 60, 0),
                    top=top,
                )
            )
            ends = [
                PieceEnd(kind=draw_(st.sampled_from(("cope", "internal-mitre"))), cut_angle=a, saw_reading=90 - a)
                for a in (45.0, 44.35)
            ]
            pieces.append(
                Piece(
                    label=f"P{len(pieces)}",
                    room=room.name,
                    wall=wall.name,
                    trim=trim,
                    start=start,
                    end=end,
                    back=1.0,
                    face=1.0,
                    overall=1.0,
                    left=ends[0],
                    right=ends[1],
                    order=number,
                )
            )
            points = tuple(
                FixingPoint(start + (end - start) * n / 6, top - 20, moved="why" * (n % 2)) for n in range(7)
            )
            fixings.append(
                Fixing(
                    room=room.name, wall=wall.name, trim=trim, member="dado-rail", start=start, end=end, points=points
                )
            )
    sheet = Sheet(
        {
            SettingOut: SettingOut(runs=tuple(runs), pieces=tuple(pieces)),
            FixingSchedule: FixingSchedule(tuple(fixings)),
        }
    )
    job = Job("A random job", units=draw_(UNITS), rooms=(room,))
    return Outcome(job, sheet, (), (), (), digest="")


@FEW
@given(outcomes())
def test_no_lettering_overlaps_on_walls_and_plans(outcome: Outcome) -> None:
    room = outcome.job.rooms[0]
    drawn = [draw("elevation", outcome, room=room.name, wall=wall.name) for wall in room.walls]
    drawn.append(draw("elevation", outcome, room=room.name))
    levels = [Level(height=height, words=f"{height:+g}") for height in (-783.0, -96.0, -94.0, 1432.0)]
    drawn += [draw("strip", outcome, room=room.name, levels=levels), draw("strip", outcome, room=room.name, plain=60)]
    drawn += [draw("strip", outcome, room=room.name, photographs=True)]
    drawn += [draw("picture", outcome, room=room.name), draw("picture", outcome, room=room.name, before=True)]
    drawn += [small_plan(outcome, room.name) or drawn[0]]
    assert not faults(*drawn, draw("plan", outcome, room=room.name), draw("cuts", outcome))


@FEW
@given(
    st.lists(st.tuples(NAMES, st.floats(0, 400), st.floats(0, 400), st.booleans()), min_size=1, max_size=40),
    st.lists(st.tuples(NAMES, st.floats(1, 3000)), min_size=1, max_size=14),
    st.lists(st.floats(1, 900), min_size=1, max_size=12),
    UNITS,
)
def test_no_lettering_overlaps_on_diagrams(
    steps: list[tuple[str, float, float, bool]],
    parts: list[tuple[str, float]],
    lengths: list[float],
    units: str,
) -> None:
    at = 0.0
    made = []
    for name, work, wait, critical in steps:
        made.append(JobStep(name, name, "", hours=work, wait=wait, starts=at, ends=at + work, free=at + work + wait,
                            critical=critical, hold="held" * critical))  # fmt: skip
        at += work
    cuts, place = [], 0.0
    for number, length in enumerate(lengths):
        cuts.append(Cut(piece=f"P{number}", start=place, end=place + length))
        place += length + 3
    board = CutBoard(board=parts[0][0], length=place + 50, bought=True, cuts=tuple(cuts),
                     defects=((place, place + 20, "knot"),),
                     remnants=((place + 20, place + 50),))  # fmt: skip
    shares = OrderShares(
        room="R", author="gibbs", order="ionic", height=sum(size for _, size in parts), parts=tuple(parts)
    )
    members = tuple(
        MemberProportion(room="R", member="frieze", trim=name, top=size, underside=size * 0.9) for name, size in parts
    )
    profile = tuple(ProfileElement("ovolo", size / 50, (-1) ** n * 3.0) for n, (_, size) in enumerate(parts))
    trim = Trim("t", "dado-rail", section=Section(60.0, 30.0), profile=profile)
    raked = RakedProfile(
        room="R",
        trim="t",
        at="a corner",
        pitch=35.0,
        angle=90.0,
        ordinates=tuple((10.0 + n, n * 5.0, n * 6.0) for n in range(len(lengths))),
    )
    given_ = (
        Sequence(tuple(made), 3),
        CuttingList((TrimCutting(trim="t", boards=(board, board)),)),
        Proportions(members, (shares,)),
        SettingOut(raked=(raked,)),
    )
    sheet = Sheet({type(result): result for result in given_})
    outcome = Outcome(Job("j", units=units, trim=(trim,)), sheet, (), (), (), digest="")  # type: ignore[arg-type]
    plain = replace(outcome, job=replace(outcome.job, trim=(replace(trim, profile=()),)))
    drawn = [draw(name, outcome, trim="t") for name in ("boards", "profile", "raked")]
    drawn += [whole := draw("full_size", outcome)]
    assert all(sheet.height <= LETTER for sheet in (whole, *whole.further)), "under its heading on either paper"
    drawn += [draw("programme", outcome), draw("proportion", outcome, room="R"), draw("profile", plain, trim="t")]
    assert not faults(*drawn)


@given(st.lists(st.floats(-500, 500), max_size=30), st.floats(0.5, 10))
def test_spread_keeps_order_and_distance(levels: list[float], least: float) -> None:
    found = spread(levels, least)
    for a in range(len(levels)):
        for b in range(len(levels)):
            if a != b:
                assert abs(found[a] - found[b]) >= least - 1e-6
            if levels[a] < levels[b]:
                assert found[a] < found[b]


@given(st.lists(st.tuples(st.floats(-200, 200), st.floats(0.1, 150), st.text("0123456789", min_size=1, max_size=6))))
def test_dimensions_of_one_row_never_overlap(spans: list[tuple[float, float, str]]) -> None:
    rows: dict[int, list[tuple[float, float]]] = {}
    for row, span in rows_of([Span(start, start + length, figure) for start, length, figure in spans]):
        half = letters_width(span.figure, SMALL) / 2
        inside = 2 * half + 1.2 <= span.end - span.start
        middle = (span.start + span.end) / 2 if inside else span.end + half + 0.8
        for low, high in rows.setdefault(row, []):
            assert middle - half >= high - 0.02 or middle + half <= low + 0.02
        rows[row].append((middle - half, middle + half))


edges, sides = st.integers(-18, 18).map(lambda at: at / 2), st.sampled_from([0.0, 0.5, 3.0, 90.0])
rooms = st.builds(lambda x, y, wide, high: Box(x, y, x + wide, y + high), edges, edges, sides, sides)


@given(st.lists(rooms, max_size=8), rooms)
def test_what_is_taken_is_found_wherever_it_lies(boxes: list[Box], room: Box) -> None:
    """The look-up says what looking at each says."""
    taken = Taken()
    for box in boxes:
        taken.add(box)
    each = [box.x0 < room.x1 and room.x0 < box.x1 and box.y0 < room.y1 and room.y0 < box.y1 for box in boxes]
    assert taken.meets(*room) == any(each)
    assert taken.boxes == boxes

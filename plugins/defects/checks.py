"""Every board against the grade of its place; the stage ``defects``."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import GEOMETRY, PRACTICE, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.survey.job import Board, Job, Trim
from listel.core.survey.units import show_length
from listel.plugins.defects.grade import Grade, grade_of, judged, knot_size, spaced
from listel.plugins.defects.moisture import Parcel, moisture_findings
from listel.plugins.defects.results import BoardCheck, DefectChecks, DefectVerdict
from listel.plugins.defects.snags import snag_list
from listel.plugins.defects.straight import Fault, faults
from listel.plugins.defects.stretches import clear_stretches, margin_of
from listel.plugins.timber import Movement

RULES = load_rules(__package__)


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Findings on the timber of every trim, then the verdict on every board and the snag list."""
    checks: list[BoardCheck] = []
    parcels: list[Parcel] = []
    scarce: list[tuple[Trim, Grade]] = []
    movement = sheet.get(Movement)
    moves = {line.trim: line for line in movement.lines} if movement else {}
    names = list(dict.fromkeys([trim.name for trim in job.trim] + [board.trim for board in (*job.stock, *job.rack)]))
    for name in names:
        trim = next((trim for trim in job.trim if trim.name == name), None)
        boards = named_boards(job, name)
        grade = grade_of(job, trim)
        yield from _trim_findings(job, trim, name, grade, boards)
        parcels.append(Parcel(name, trim, tuple((named, board) for named, board, _ in boards), moves.get(name)))
        if trim is not None and _scarce(trim, grade):
            scarce.append((trim, grade))
        for board_name, board, rack in boards:
            check, found = check_board(job, grade, board_name, board, rack)
            checks.append(check)
            yield from found
    yield from moisture_findings(job, parcels)
    if scarce:
        yield _scarce_class(job, scarce)
    snags = snag_list(job)
    if snags:
        yield _sample(job)
    yield DefectChecks(tuple(checks), snags)


def named_boards(job: Job, trim: str) -> list[tuple[str, Board, bool]]:
    """The boards of a trim as (name, board, from the rack); each name once, in survey order."""
    found: list[tuple[str, Board, bool]] = []
    taken: set[str] = set()
    for boards, rack in ((job.stock, False), (job.rack, True)):
        for number, board in enumerate((b for b in boards if b.trim == trim), 1):
            plain = board.name or (f"rack {number}" if rack else f"new {show_length(board.length, job.units)}")
            name, again = plain, 2
            while name in taken:
                name, again = f"{plain} ({again})", again + 1
            taken.add(name)
            found.append((name, board, rack))
    return found


def check_board(job: Job, grade: Grade, name: str, board: Board, rack: bool) -> tuple[BoardCheck, list[Finding]]:
    """The verdict on one board, and what there is to say of it."""
    verdicts = spaced(tuple(judged(defect, grade) for defect in board.defects))
    over = faults(job, board, grade.width)
    clear = clear_stretches(board.length, verdicts, job.cutting.defect_margin)
    usable = bool(clear) and not any(fault.out for fault in over)
    check = BoardCheck(
        board=name,
        trim=board.trim,
        rack=rack,
        length=board.length,
        price=board.price,
        quantity=board.quantity,
        usable=usable,
        verdicts=verdicts,
        clear=clear if usable else (),
        says=_says(job, clear, verdicts, over),
        grounds=_grounds(job, grade, board, verdicts),
    )
    where = Where(trim=board.trim, piece=name, line=job.line(board))
    return check, list(_board_findings(job, board, name, check, over, where))


def _says(
    job: Job, clear: tuple[tuple[float, float], ...], verdicts: tuple[DefectVerdict, ...], over: list[Fault]
) -> str:
    if any(fault.out for fault in over):
        return "set aside: " + "; ".join(fault.says for fault in over if fault.out)
    if not clear:
        return "nothing of it is clear"
    if not any(verdict.cut_out for verdict in verdicts):
        return "clear from end to end" if not verdicts else "usable from end to end, its defects treated"
    lengths = ", ".join(show_length(end - start, job.units) for start, end in clear)
    return f"clear stretches of {lengths}"


def _grounds(job: Job, grade: Grade, board: Board, verdicts: tuple[DefectVerdict, ...]) -> Grounds:
    inputs = [*grade.inputs, Input("length", board.length, "mm", job.line(board, "length"))]
    if any(verdict.cut_out for verdict in verdicts):
        given = job.cutting.defect_margin
        if given is not None:
            inputs.append(Input("margin", given, "mm", job.line(job.cutting, "defect-margin")))
        else:
            most = max(margin_of(verdict, None) for verdict in verdicts if verdict.cut_out)
            inputs.append(Input("greatest margin", most, "mm", assumed=True, note="by kind and size of the defect"))
    worked = "; ".join(f"{v.kind} {v.start:g} to {v.end:g}: {v.treat} ({v.why})" for v in verdicts)
    return Grounds(
        tuple(inputs), "what must be cut out, with its margin, is left out of the board", worked, "", grade.sources
    )


def _board_findings(
    job: Job, board: Board, name: str, check: BoardCheck, over: list[Fault], where: Where
) -> Iterator[Finding]:
    for fault in over:
        mend = "choose another board" if fault.out else "use it if it pulls flat by hand, else choose another board"
        if fault.kind == "wane":
            mend = "use it only where the wane lies on a hidden back"
        rule = RULES["wane"] if fault.kind == "wane" else RULES["out-of-straight"]
        yield rule.told("caution", f"Board {name}: {fault.says}.", where, fault.grounds, mend)
    if not check.clear and not any(fault.out for fault in over):
        says = f"Board {name} has no clear stretch: it gives nothing for {board.trim}."
        yield RULES["nothing-clear"].told("caution", says, where, check.grounds)
    kinds = {defect.kind for defect in board.defects}
    sources = Grounds(sources=(PRACTICE,))
    if "nail-holes" in kinds:
        says = f"Board {name} has held nails: broken ones left in it can shatter a saw blade."
        mend = "go over it with a metal detector or magnet before any cut, draw what is found, and wear eye protection"
        yield RULES["old-nails"].told("caution", says, where, sources, mend)
    if kinds & {"rot", "insect"}:
        says = f"Board {name} shows {' and '.join(sorted(kinds & {'rot', 'insect'}))}: keep it apart from sound timber."
        mend = "have live attack or decay looked at by a competent person before any of the board is used"
        yield RULES["attack"].told("caution", says, where, sources, mend)
    beyond = [defect for defect in board.defects if defect.end > board.length or defect.end < defect.start]
    if beyond:
        worst = max(beyond, key=lambda defect: defect.end)
        start, end = (show_length(at, job.units) for at in (worst.start, worst.end))
        rest = len(beyond) - 1
        more = f"; nor {'does one other' if rest == 1 else f'do {rest} others'}" if rest else ""
        says = f"Board {name}: a {worst.kind} from {start} to {end} does not lie on the board{more}."
        mend = "measure it again from the marked end"
        yield RULES["not-on-board"].told("caution", says, where, Grounds(sources=(GEOMETRY,)), mend)


def _trim_findings(
    job: Job,
    trim: Trim | None,
    name: str,
    grade: Grade,
    boards: list[tuple[str, Board, bool]],
) -> Iterator[Finding]:
    where = Where(trim=name, line=job.line(trim) if trim else 0)
    if boards and grade.assumed:
        finish = trim.finish if trim and trim.finish else "finish not surveyed"
        of = " of the European EN 942, for want of an American class seen" if american(job) else ""
        says = f"The {name} is held to class {grade.name}{of}, assumed for {finish}: the survey names no class."
        yield RULES["class-assumed"].told("record", says, where, Grounds(grade.inputs, sources=grade.sources))
    knots = [defect for _, board, _ in boards for defect in board.defects if defect.kind == "knot"]
    lacking = sum(knot.sound is None or knot_size(knot, grade.width) is None for knot in knots)
    if lacking:
        what = f"whether {lacking} knot{'s' if lacking > 1 else ''} of the boards for {name} are sound, and their size"
        yield RULES["knot-not-surveyed"].lacking(what, "whether they may stay in the work", where)
    if knots and grade.width is None:
        what = f"height of {name} on the wall"
        yield RULES["face-not-surveyed"].lacking(what, "the share of the face a knot may take", where)


def _scarce(trim: Trim, grade: Grade) -> bool:
    """Whether the class a trim asks for is hard to buy in its timber."""
    row = load_table(__package__, "allowances").row("scarce")
    return trim.timber in row["timbers"] and grade.name in row["classes"]


def _scarce_class(job: Job, scarce: list[tuple[Trim, Grade]]) -> Finding:
    """Advice, told once, that a class is hard to buy in European softwood."""
    row = load_table(__package__, "allowances").row("scarce")
    wanted = ", ".join(f"{trim.name} {grade.name}" for trim, grade in scarce)
    says = f"Classes J2 to J10 are hard to buy in European softwood, a merchant holds; this job asks for {wanted}."
    inputs = tuple(one for _, grade in scarce for one in grade.inputs)
    grounds = Grounds(inputs, row["says"], sources=row.sources)
    mend = "Ask the merchant before the class is agreed; the best of J40 or J50 picked over, or a hardwood, may serve."
    where = Where(trim=scarce[0][0].name, line=job.line(scarce[0][0], "grade"))
    return RULES["class-scarce"].told("advice", says, where, grounds, mend)


def american(job: Job) -> bool:
    """Whether the building is in the United States, where European classes and British tolerances only stand in."""
    return job.building.region == "united-states"


def _sample(job: Job) -> Finding:
    line = job.line(job.building, "built")
    built = Input("built", job.building.built, line=line) if job.building.built else Input("built", "not surveyed")
    whose = "British new homes, for want of American ones seen" if american(job) else "new homes"
    says = (
        f"The published snagging tolerances are those of {whose}. In an old house agree a finished sample before the "
        "work, and judge the rest by it."
    )
    published = (s for s in load_table(__package__, "snags").sources.values() if s.standing != "allowance")
    return RULES["agree-sample"].told("advice", says, grounds=Grounds((built,), sources=tuple(published)))

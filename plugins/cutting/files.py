"""The cutting list as files: every cut as CSV, and the rack afterwards in the survey's own form."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from io import StringIO
from typing import TYPE_CHECKING, Any

from listel.core.files import spreadsheet_safe
from listel.core.house.wording import wording
from listel.core.survey.job import Board, Job
from listel.core.survey.units import in_figures, written_percent
from listel.plugins.cutting.results import CutBoard, CuttingList
from listel.plugins.defects import BoardCheck, DefectChecks

if TYPE_CHECKING:
    from listel.plugins.panelling import Frame, FramePart, Panelling

COLUMNS = ("trim", "board", "from", "board length", "piece", "start", "end", "length", "left", "right", "kerf", "why")
MEASURED = ("board length", "start", "end", "length", "kerf")


def cuts_csv(job: Job, found: CuttingList, panelling: Panelling | None = None) -> str:
    """Every cut as a row of CSV, its heads with their unit, in the words of the job's region; start and end are running
    dimensions from the board's marked end. A piece that no board gives has none, and why. Parts of panelling, a row
    each, are of no board: they are ripped on the bench to the width and thickness in their name."""
    text = StringIO()
    rows = csv.writer(text, lineterminator="\r\n")
    unit, told = in_figures(job.units)
    rows.writerow([f"{name}, {unit}" if name in MEASURED else name for name in COLUMNS])
    for line in found.lines:
        for board in line.boards:
            for cut in board.cuts:
                place = "new" if board.bought else "rack"
                lengths = [told(mm) for mm in (cut.start, cut.end, cut.end - cut.start)]
                row = [line.trim, board.board, place, told(board.length), cut.piece, *lengths, cut.left, cut.right]
                rows.writerow([*(spreadsheet_safe(cell) for cell in row), told(cut.kerf), ""])
        for each in line.unmade:
            row = [line.trim, "", "", "", each.piece, "", "", told(each.length), each.left, each.right, "", each.why]
            rows.writerow([spreadsheet_safe(cell) for cell in row])
    for frame in panelling.frames if panelling else ():
        for part in panelling.parts_of(frame.label) if panelling else ():
            row = [frame.trim, "ripped on the bench", "", "", panel_part(frame, part, told), "", "", told(part.length)]
            for _ in range(part.count):
                rows.writerow([*(spreadsheet_safe(cell) for cell in row), "", "", "", ""])
    return wording(job)(text.getvalue())


def panel_part(frame: Frame, part: FramePart, told: Callable[[float], str]) -> str:
    """A part of a frame by name, with its width and thickness."""
    thick = "" if part.thickness is None else f" x {told(part.thickness)}"
    return f"frame {frame.label}, {part.part}, {told(part.width)}{thick}"


def rack_yaml(job: Job, checks: DefectChecks, found: CuttingList) -> str:
    """What lies on the rack when the list has been cut, as the ``rack`` of a survey: boards not begun, and remnants."""
    from ruamel.yaml import YAML

    cut = {(line.trim, board.board) for line in found.lines for board in line.boards}
    rack = [
        _whole(board, check.board) for board, check in _on_rack(job, checks) if (check.trim, check.board) not in cut
    ]
    named = {(check.trim, check.board): check for check in checks.boards}
    for line in found.lines:
        for board in line.boards:
            rack += _left(line.trim, board, named.get((line.trim, board.board)))
    text = StringIO()
    writer = YAML(typ="safe", pure=True)
    writer.default_flow_style = False
    writer.sort_base_mapping_type_on_output = False  # type: ignore[assignment]
    writer.dump({"rack": rack}, text)
    return text.getvalue()


def _on_rack(job: Job, checks: DefectChecks) -> list[tuple[Board, BoardCheck]]:
    by_trim: dict[str, list[Board]] = {}
    for board in job.rack:
        by_trim.setdefault(board.trim, []).append(board)
    return [(by_trim[check.trim].pop(0), check) for check in checks.boards if check.rack and by_trim.get(check.trim)]


def _whole(board: Board, name: str) -> dict[str, Any]:
    form: dict[str, Any] = {"for": board.trim, "name": name, "length": _mm(board.length)}
    if board.moisture is not None:
        form["moisture"] = written_percent(board.moisture)
    form |= {
        key: _mm(value)
        for key in ("bow", "spring", "twist", "cup", "wane")
        if (value := getattr(board, key)) is not None
    }
    defects = []
    for defect in board.defects:
        entry: dict[str, Any] = {"from": _mm(defect.start), "to": _mm(defect.end), "kind": defect.kind}
        if defect.size is not None:
            entry["size"] = _mm(defect.size)
        entry |= {key: value for key in ("face", "sound") if (value := getattr(defect, key)) is not None}
        defects.append(entry)
    return form | ({"defects": defects} if defects else {})


def _left(trim: str, board: CutBoard, check: BoardCheck | None) -> Iterator[dict[str, Any]]:
    for number, (start, end) in enumerate(board.remnants, 1):
        form: dict[str, Any] = {"for": trim, "name": f"{board.board}, left {number}", "length": _mm(end - start)}
        kept = [v for v in check.verdicts if not v.cut_out and v.start < end and v.end > start] if check else []
        defects = [
            {"from": _mm(max(0.0, v.start - start)), "to": _mm(min(end, v.end) - start), "kind": v.kind}
            | ({"size": _mm(v.size)} if v.size is not None else {})
            | ({"sound": True} if v.kind == "knot" else {})
            for v in kept
        ]
        yield form | ({"defects": defects} if defects else {})


def _mm(length: float) -> str:
    """A length in mm with its unit, rounded down to a tenth, so that a survey in inches reads the same."""
    return f"{int(length * 10 + 1e-6) / 10:g} mm"

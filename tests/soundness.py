"""What is unsound in an outcome or a page made of it, whatever the survey was: said in words, one line a fault."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from functools import cache, cached_property
from itertools import pairwise
from typing import Any

from jsonschema import Draft202012Validator

from listel.core.contract.findings import Finding
from listel.core.contract.lines import plain
from listel.core.files import beside
from listel.core.host.outcome import Outcome
from listel.core.survey.fits import fits
from listel.core.survey.job import Job, Reading
from listel.plugins.bonding import Bonding
from listel.plugins.cutting import CuttingList
from listel.plugins.defects import DefectChecks
from listel.plugins.fixings import Fixing, FixingSchedule
from listel.plugins.heights import RailHeights
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import Run, SettingOut

NONSENSE = re.compile(
    r"\b(?:None|nan|NaN|inf|Infinity|True|False)\b|  |[{}]|\(\)|\[\]|,,|\.\.(?!\.)| [,.;](?![0-9])|-0 mm|"
    r"\d[eE][+-]?\d\d|<[a-z]|object at 0x"
)
_TAGS = re.compile(r"<style.*?</style>|<[^>]*>", re.DOTALL)
SLACK = 0.01
"""mm by which sums of lengths may differ."""


def unsound(outcome: Outcome) -> list[str]:
    """Every fault of an outcome."""
    own = OwnWords(outcome.job)
    return [
        *(f"the stage {ran.stage} failed: {ran.fault}" for ran in outcome.ran if ran.fault),
        *(fault for finding in outcome.findings for fault in _of_finding(finding, own)),
        *_of_json(outcome),
        *_of_lengths(outcome),
        *_of_amounts(outcome),
        *_of_texts(outcome, own),
    ]


def unsound_page(page: str, job: Job) -> list[str]:
    """Every fault of a page's words."""
    words = OwnWords(job).out_of(html.unescape(_TAGS.sub("\n", page)))
    own = "{{" in repr(job)  # a long name may be shown cut short
    found = re.finditer(r"\bNone\b(?!:| of the)|\b(?:nan|NaN|inf|Infinity|undefined)\b|\{\{|\{%|object at 0x", words)
    return [f"the page says {words_round(match)}" for match in found if not (own and match[0].startswith("{"))]


def words_round(match: re.Match[str]) -> str:
    """What stands round a match."""
    return repr(match.string[max(0, match.start() - 60) : match.end() + 40])


# ---------------------------------------------------------------- findings and their words


class OwnWords:
    """The survey's own words, which would be taken for nonsense of ours."""

    def __init__(self, job: Job) -> None:
        self.job = job

    def out_of(self, text: str) -> str:
        """The text without them."""
        for own in self._odd:
            text = text.replace(own, "own words")
        return text

    def nonsense(self, text: str) -> re.Match[str] | None:
        """What of a text is nonsense of ours."""
        return NONSENSE.search(text) and NONSENSE.search(self.out_of(text))

    @cached_property
    def _odd(self) -> list[str]:
        found: set[str] = set()
        for _, text in _texts(plain(self.job), "job"):
            looks_odd = NONSENSE.search(text) or NONSENSE.search(text.capitalize())
            if looks_odd or not text.strip() or text.endswith((" ", ".")) or "%" in text:
                found |= {text, text.upper(), text.lower(), text.capitalize(), text[:200], text.strip()}
        return sorted((text for text in found if len(text) > 1), key=len, reverse=True)


def _of_finding(finding: Finding, own: OwnWords) -> Iterator[str]:
    said = f"{finding.rule}: {finding.says!r}"
    if not finding.says.rstrip("\"'”’)").endswith("."):
        yield f"{said} does not end with a full stop"
    ours = not any(finding.says.startswith(trim.name) for trim in own.job.trim)
    if ours and finding.says[0].isalpha() and not finding.says[0].isupper():
        yield f"{said} does not begin with a capital"
    for what, text in (("says", finding.says), ("mend", finding.mend)):
        match = own.nonsense(text)
        if match:
            yield f"{finding.rule}: its {what} holds {match[0]!r}: {text!r}"
    sourced = bool(finding.grounds.sources)
    if finding.says.startswith("Not surveyed: ") or finding.rule.startswith("engine/"):
        return
    if finding.weight in ("hold", "caution") and not (finding.mend or sourced):
        yield f"{said} has neither a mend nor grounds"
    if finding.weight != "record" and not sourced:
        yield f"{said} rests on no source"


def _of_texts(outcome: Outcome, own: OwnWords) -> Iterator[str]:
    """Every text of a result, grounds and all."""
    for result in outcome.sheet:
        if type(result).__name__ in ("Steps", "Said"):
            continue
        for where, text in _texts(plain(result), type(result).__name__):
            match = own.nonsense(text)
            if match and not where.endswith("says.name"):
                yield f"{where} holds {match[0]!r}: {text!r}"
    for finding in outcome.findings:
        for where, text in _texts(plain(finding.grounds), finding.rule):
            match = own.nonsense(text)
            if match:
                yield f"{where} holds {match[0]!r}: {text!r}"


def _texts(value: Any, where: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, str):
        yield where, value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _texts(item, f"{where}.{key}")
    elif isinstance(value, list):
        for item in value:
            yield from _texts(item, where)


# ---------------------------------------------------------------- the outcome as JSON


@cache
def _form() -> dict[str, Any]:
    form: dict[str, Any] = json.loads(beside("listel.schemas", "outcome.schema.json").read_text("utf-8"))
    return form


def _of_json(outcome: Outcome) -> Iterator[str]:
    made = outcome.to_json()
    try:
        text = json.dumps(made, allow_nan=False)
    except ValueError as error:
        yield from (f"{where} is not finite" for where in _not_finite(made, ""))
        yield f"the JSON cannot be written: {error}"
        return
    read = json.loads(text)
    if read != made:
        yield "the JSON does not come back as it went"
    if fits(read, _form(), {}):  # quickly judged; what is wrong is told by the judge with words
        return
    for error in Draft202012Validator(_form()).iter_errors(read):
        yield f"the JSON is not of its form: {error.json_path}: {error.message[:200]}"


def _not_finite(value: Any, where: str) -> Iterator[str]:
    if isinstance(value, float) and (value != value or abs(value) == float("inf")):
        yield where
    for key, item in value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ():
        yield from _not_finite(item, f"{where}/{key}")


# ---------------------------------------------------------------- lengths and places


def _end(reading: Reading | None) -> float:
    return max(reading.first, reading.second or 0.0) if reading else float("inf")


def _of_lengths(outcome: Outcome) -> Iterator[str]:
    walls = {(room.name, wall.name): _end(wall.length) + 6 for room in outcome.job.rooms for wall in room.walls}
    out = outcome.sheet.get(SettingOut)
    sections = {trim.name: trim.section for trim in outcome.job.trim}
    for run in out.runs if out else ():
        name = f"run {run.trim} on {run.room}/{run.wall} {run.start:.1f}..{run.end:.1f}"
        within = -2 <= run.start <= run.end <= walls[run.room, run.wall]
        if not within and not (run.opening and _told(outcome, run, "past the corner")):
            yield f"{name} is not within its wall of {walls[run.room, run.wall]}"
        if run.length < 0:
            yield f"{name} is {run.length} long"
        sunk = run.top is not None and run.underside is not None and run.top < run.underside
        if sunk and not _sunk(outcome, run):
            yield f"{name} has its top {run.top} below its underside {run.underside}"
    labels = [piece.label for piece in out.pieces] if out else []
    if len(set(labels)) != len(labels):
        yield f"two pieces have one label: {labels}"
    for piece in out.pieces if out else ():
        name = f"piece {piece.label} of {piece.trim} on {piece.room}/{piece.wall} {piece.start:.1f}..{piece.end:.1f}"
        if piece.overall <= 0 or min(piece.back, piece.face) < 0:
            yield f"{name} has a length of nothing: {piece.back} {piece.face} {piece.overall}"
        if piece.overall < max(piece.back, piece.face) - SLACK:
            yield f"{name}: overall {piece.overall} is less than its back {piece.back} or face {piece.face}"
        section = sections[piece.trim]
        for end in (piece.left, piece.right):
            if end.cut_angle is not None and not 0 <= end.cut_angle <= 180:
                yield f"{name} is cut at {end.cut_angle} degrees"
            if section.projection and end.kind != "scarf" and abs(end.gives) > 12 * section.projection + 5:
                yield f"{name} gives {end.gives} at an end of a moulding that stands out {section.projection}"
    for schedule in [outcome.sheet.get(FixingSchedule)]:
        for fixing in schedule.lines if schedule else ():
            name = f"fixing of {fixing.trim} on {fixing.room}/{fixing.wall} {fixing.start:.1f}..{fixing.end:.1f}"
            for point in fixing.points:
                if not fixing.start - SLACK <= point.station <= fixing.end + SLACK:
                    yield f"{name} has a point at {point.station}, outside its run"
                sunk = point.height is not None and point.height < -1 and not point.moved
                if sunk and not _sunk(outcome, fixing):
                    yield f"{name} has a point {point.height} above the floor"
            if fixing.count != len(fixing.points) and fixing.points:
                yield f"{name} counts {fixing.count} for {len(fixing.points)} points"
            for key in (
                "length",
                "diameter",
                "through",
                "embedment",
                "lead_hole",
                "clearance_hole",
                "spacing",
                "most_spacing",
                "from_ends",
                "second",
                "demand",
                "capacity",
                "ratio",
                "pull",
                "shear",
            ):
                value = getattr(fixing, key)
                if value is not None and value < 0:
                    yield f"{name} has {key} {value}"
            if fixing.length is not None and fixing.length > 1000:
                yield f"{name} is {fixing.length} long"
    heights = outcome.sheet.get(RailHeights)
    ceilings = {room.name: max((one.height for one in room.height), default=None) for room in outcome.job.rooms}
    for line in heights.lines if heights else ():
        name = f"height of {line.trim} in {line.room}"
        if line.top is not None and line.underside is not None and line.top < line.underside:
            yield f"{name}: top {line.top} underside {line.underside}"
        ceiling = ceilings[line.room]
        if line.top is not None and ceiling and line.top > ceiling:
            yield f"{name}: its top {line.top} is over the ceiling at {ceiling}"
        if line.top is not None and line.top < 0:
            yield f"{name}: {line.top}"
        if line.offered is not None and (line.offered < 0 or (ceiling and line.offered > ceiling)):
            yield f"{name}: {line.offered} is offered under a ceiling at {ceiling}"


SUNK = ("below the floor", "below the pitch line", "below the first nosing", "be left at the highest floor")


def _sunk(outcome: Outcome, line: Fixing | Run) -> bool:
    """Whether the outcome tells that a member would run into the floor, or be scribed away by it."""
    return any(_told(outcome, line, words) for words in SUNK)


def _told(outcome: Outcome, line: Fixing | Run, words: str) -> bool:
    """Whether a hold or caution on that trim in that room holds the words."""
    return any(
        (finding.where.room, finding.where.trim) == (line.room, line.trim) and words in finding.says
        for finding in outcome.findings
        if finding.weight in ("hold", "caution")
    )


# ---------------------------------------------------------------- money, millilitres, hours


def _negative(line: Any, where: str) -> Iterator[str]:
    for key, value in plain(line).items():
        if isinstance(value, (int, float)) and not isinstance(value, bool) and value < 0:
            yield f"{where}: {key} is {value}"


def _of_amounts(outcome: Outcome) -> Iterator[str]:
    bonding, cutting = outcome.sheet.get(Bonding), outcome.sheet.get(CuttingList)
    for bond in bonding.bonds if bonding else ():
        yield from _negative(bond, f"bond {bond.room}/{bond.wall}/{bond.trim}")
    for fill in bonding.fills if bonding else ():
        for key in ("width", "depth", "volume", "least_width"):
            if (getattr(fill, key) or 0) < 0:
                yield f"fill {fill.room}/{fill.trim}/{fill.joint}: {key} {getattr(fill, key)}"
        if fill.movement is not None and fill.movement_low is not None and fill.movement < fill.movement_low - 1e-9:
            yield f"fill {fill.joint}: movement {fill.movement_low}..{fill.movement}"
    for material in bonding.materials if bonding else ():
        yield from _negative(material, f"material {material.what}")
    for line in cutting.lines if cutting else ():
        yield from _negative(line, f"cutting of {line.trim}")
        if line.cost < line.bound - 0.01 - 1e-6 * line.bound:
            yield f"cutting of {line.trim}: cost {line.cost} under its bound {line.bound}"
        for board in line.boards:
            yield from _negative(board, f"board {board.board}")
            for cut in board.cuts:
                if not -SLACK <= cut.start < cut.end <= board.length + SLACK:
                    yield f"board {board.board} of {board.length}: {cut.piece} is cut at {cut.start}..{cut.end}"
            for near, far in pairwise(board.cuts):
                if far.start < near.end - 2000:
                    yield f"board {board.board}: {near.piece} {near.end} and {far.piece} {far.start} overlap"
    yield from _of_cut_pieces(outcome, cutting)
    checks = outcome.sheet.get(DefectChecks)
    for check in checks.boards if checks else ():
        for start, end in check.clear:
            if not -SLACK <= start < end <= check.length + SLACK:
                yield f"board {check.board} of {check.length} is clear {start}..{end}"
        if any(near[1] > far[0] + SLACK for near, far in pairwise(check.clear)):
            yield f"board {check.board}: {check.clear} overlap"
    sequence = outcome.sheet.get(Sequence)
    if sequence:
        yield from _of_sequence(sequence, outcome.job)


def _of_cut_pieces(outcome: Outcome, cutting: CuttingList | None) -> Iterator[str]:
    out = outcome.sheet.get(SettingOut)
    if not cutting or not out:
        return
    for line in cutting.lines:
        made = [cut.piece for board in line.boards for cut in board.cuts]
        for label in (piece.label for piece in out.pieces if piece.trim == line.trim):
            if label not in made and not any(label == each.piece for each in line.unmade):
                yield f"cutting of {line.trim}: {label} is neither cut nor said to be unmade"
        if len(set(made)) != len(made):
            yield f"cutting of {line.trim}: a piece is cut twice"


def _of_sequence(sequence: Sequence, job: Job) -> Iterator[str]:
    names = [step.name for step in sequence.steps]
    if len(set(names)) != len(names):
        yield f"a step stands twice: {names}"
    for number, step in enumerate(sequence.steps):
        yield from _negative(step, f"step {step.name}")
        undated = [step.starts, step.ends, step.free] == [None, None, None]
        if undated != bool(step.barred) or not (undated or step.starts <= step.ends <= step.free):
            yield f"step {step.name}: starts {step.starts}, ends {step.ends}, free {step.free}"
        for need in step.needs:
            if need in names and names.index(need) > number:
                yield f"step {step.name} stands before {need}, which it needs"
    if sequence.days < 0 or sequence.days > 1_000_000:
        yield f"the programme takes {sequence.days} days"

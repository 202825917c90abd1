"""The programme as a calendar in the open format of RFC 5545: steps and visits as whole days, waits beside them, what a
hold bars as things to do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from listel.core.host.outcome import Outcome
from listel.core.survey.faults import InputFault
from listel.plugins.sequence import JobStep, Sequence

DAY = 24.0
MOST_OCTETS = 75
"""Octets of a line before it is folded. Source: RFC 5545, section 3.1."""
GANG = ("joiner", "decorator")
"""Those who are on site all along; the others come on a visit."""


def calendar(outcome: Outcome, dated: str = "") -> str:
    """The calendar of a job. ``dated``: the day of the statement, as 2026-03-14. Raises InputFault where the first day
    of work is not surveyed, since without it no step has a date.
    """
    job, sequence = outcome.job, outcome.sheet.get(Sequence)
    try:
        start = date.fromisoformat(job.work.start or "")
    except ValueError:
        raise InputFault(f"{job.title}: a calendar needs the first day of work; write it under work, start") from None
    stamp = f"{(dated or job.surveyed or job.work.start or '').replace('-', '')[:8]}T000000Z"
    lines: list[str] = []
    for number, step in enumerate(sequence.steps if sequence else ()):
        if not step.done:
            lines += _entries(step, f"{number}-{step.name}", start, stamp)
    return written(job.title, lines)


def written(title: str, entries: Iterable[str]) -> str:
    """A whole calendar of these entries' lines."""
    head = ("BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//listel//programme//EN", f"X-WR-CALNAME:{_text(title)}")
    return "".join(f"{folded}\r\n" for line in (*head, *entries, "END:VCALENDAR") for folded in _folded(line))


def _entries(step: JobStep, uid: str, start: date, stamp: str) -> Iterator[str]:
    """One step: its days and its wait; a thing to do where a hold keeps it from a date."""
    if step.starts is None or step.ends is None or step.free is None:
        yield from ("BEGIN:VTODO", f"UID:{uid}@listel", f"DTSTAMP:{stamp}", f"SUMMARY:{_text(f'Held: {step.title}')}")
        yield from (
            f"DESCRIPTION:{_text(step.hold or f'Waits for: {step.barred}')}",
            "STATUS:NEEDS-ACTION",
            "END:VTODO",
        )
        return
    who = step.who.replace("-", " ")
    title = step.title if step.who in GANG else f"{step.title} (visit: {who})"
    first, last = _days(step.starts, step.ends)
    yield from event(uid, stamp, start, first, last, title, f"{who}, {step.hours:g} h. {step.because}", "OPAQUE")
    if step.wait:
        began, over = _days(step.ends, step.free)
        yield from event(
            f"{uid}-wait", stamp, start, began, over, f"Wait: {step.wait_why}", f"after: {step.title}", "TRANSPARENT"
        )


def _days(begins: float, ends: float) -> tuple[int, int]:
    """The days from the first morning that a span of hours touches, the second one past its end."""
    first = int(begins // DAY)
    return first, max(first + 1, -int(-ends // DAY))


def event(uid: str, stamp: str, start: date, first: int, past: int, title: str, says: str, shows: str) -> Iterator[str]:
    """The lines of an event of whole days, counted from ``start``; ``past``: the first day after it."""
    yield from ("BEGIN:VEVENT", f"UID:{uid}@listel", f"DTSTAMP:{stamp}")
    yield f"DTSTART;VALUE=DATE:{start + timedelta(first):%Y%m%d}"
    yield f"DTEND;VALUE=DATE:{start + timedelta(past):%Y%m%d}"
    yield from (f"SUMMARY:{_text(title)}", f"DESCRIPTION:{_text(says)}", f"TRANSP:{shows}", "END:VEVENT")


def _text(words: str) -> str:
    """Words with what has a meaning of its own marked as text. Source: RFC 5545, section 3.3.11."""
    for sign in ("\\", ";", ","):
        words = words.replace(sign, f"\\{sign}")
    return "\\n".join(words.splitlines())


def _folded(line: str) -> Iterator[str]:
    """A line in pieces of at most 75 octets, each but the first behind a space, no letter cut."""
    piece, room = "", MOST_OCTETS
    for letter in line:
        size = len(letter.encode())
        if size > room:
            yield piece
            piece, room = " ", MOST_OCTETS - 1
        piece, room = piece + letter, room - size
    yield piece

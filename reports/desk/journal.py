"""What was changed at the desk, kept beside the survey: nothing typed is lost, and a sitting's changes can be undone.

A line of JSON a change. Each holds the piece of text that went and the one that came, so that undoing it gives the
file back byte by byte; it is undone only where the file is still as it was left.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from listel.core.files import write_whole
from listel.core.quick import dataclass

ENDING = ".listel-journal"
MOST_LINES = 2_000
"""Lines of former sittings that are kept when a new one begins."""


def digest(text: str) -> str:
    """A text's mark: two that differ have two."""
    return sha256(text.encode("utf-8")).hexdigest()[:24]


@dataclass(frozen=True, kw_only=True)
class Change:
    """One change: ``does`` is set, undo or redo; ``step`` joins what was typed in one go; ``says`` names it; ``before``
    is the value that stood at ``path``, as a person reads it.

    The text ``was`` went at the place ``at`` and ``came`` stands there now; ``left`` marks the whole text after it.
    """

    on: str
    sitting: str
    does: str
    step: str
    path: str
    says: str
    before: str
    at: int
    was: str
    came: str
    left: str


def between(old: str, new: str) -> tuple[int, str, str]:
    """Where two texts begin to differ, and the piece of each that the other has not."""
    start = _alike(old, new)
    tail = _alike(old[start:][::-1], new[start:][::-1])
    return start, old[start : len(old) - tail], new[start : len(new) - tail]


def _alike(one: str, other: str) -> int:
    """How many letters two texts begin with alike."""
    pairs = enumerate(zip(one, other, strict=False))
    return next((at for at, (here, there) in pairs if here != there), min(len(one), len(other)))


class Journal:
    """The journal of one survey in one ``sitting``."""

    def __init__(self, survey: Path, sitting: str) -> None:
        self.path = survey.with_name(f".{survey.name}{ENDING}")
        self.sitting = sitting

    def begin(self) -> None:
        """A new sitting: of those before, the last lines are kept. Raises InputFault where it cannot be written."""
        lines = self._lines()
        if len(lines) > MOST_LINES:
            write_whole(self.path, "".join(f"{line}\n" for line in lines[-MOST_LINES:]))

    @contextlib.contextmanager
    def alone(self) -> Iterator[None]:
        """While the survey is read, changed and written: another desk on the same file waits."""
        with self.path.open("a") as file:
            with contextlib.suppress(ImportError):
                import fcntl

                fcntl.flock(file, fcntl.LOCK_EX)
            yield

    def keep(
        self, old: str, new: str, *, does: str = "set", step: str, path: str = "", says: str = "", before: str = ""
    ) -> None:
        """Note a change. Raises OSError where it cannot be written."""
        at, was, came = between(old, new)
        now = datetime.now().astimezone().isoformat(timespec="seconds")
        change = Change(
            on=now,
            sitting=self.sitting,
            does=does,
            step=step,
            path=path,
            says=says[:200],
            before=before,
            at=at,
            was=was,
            came=came,
            left=digest(new),
        )
        with self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(asdict(change), ensure_ascii=False) + "\n")

    def undone(self, text: str) -> tuple[str, Change] | None:
        """The text without this sitting's last step, and what that was; None where there is none, or the file was
        changed by another hand since."""
        done, _ = self.stacks()
        taken: Change | None = None
        while done and done[-1].left == digest(text) and (taken is None or done[-1].step == taken.step):
            taken = done.pop()
            text = _put_back(text, taken.at, taken.came, taken.was)
        return None if taken is None else (text, taken)

    def redone(self, text: str) -> tuple[str, Change] | None:
        """The text with the step that was undone last; None as for :meth:`undone`."""
        _, gone = self.stacks()
        if not gone or digest(_put_back(text, gone[-1].at, gone[-1].was, gone[-1].came)) != gone[-1].left:
            return None
        step = gone[-1].step
        last = gone[-1]
        while gone and gone[-1].step == step:
            last = gone.pop()
            text = _put_back(text, last.at, last.was, last.came)
        return text, last

    def stacks(self) -> tuple[list[Change], list[Change]]:
        """This sitting's changes that stand, and those that were undone, the last of each at the end."""
        done: list[Change] = []
        gone: list[Change] = []
        for change in self._changes():
            if change.sitting != self.sitting:
                continue
            if change.does == "set":
                done.append(change)
                gone.clear()
                continue
            here, there = (done, gone) if change.does == "undo" else (gone, done)
            while here and here[-1].step == change.step:
                there.append(here.pop())
        return done, gone

    def before(self, path: str) -> str | None:
        """The value at a path before the last step, where that changed it; None where it did not: of what was changed
        before that nobody knows whether it was good."""
        *_, last = [None, *self._changes()]
        if last is None or (last.path, last.does) != (path, "set"):
            return None
        return next(one.before for one in self._changes() if one.path == path and one.step == last.step)

    def _changes(self) -> Iterator[Change]:
        for line in self._lines():
            with contextlib.suppress(ValueError, TypeError):  # a line that was cut off
                yield Change(**json.loads(line))

    def _lines(self) -> list[str]:
        try:
            return self.path.read_text("utf-8").splitlines()
        except (OSError, UnicodeDecodeError):
            return []


def _put_back(text: str, at: int, here: str, there: str) -> str:
    return text[:at] + there + text[at + len(here) :] if text.startswith(here, at) else text

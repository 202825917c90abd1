"""The steps put in time: working hours in working days, waits round the clock, one gang on site."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import KW_ONLY
from graphlib import TopologicalSorter
from math import ceil

from listel.core.quick import dataclass

DAY = 24.0
SITE_GANG = frozenset({"joiner", "decorator"})
"""Those who share the gang's hours; the others work beside it."""


@dataclass(frozen=True)
class Task:
    """A step to be put in time: working ``hours``, then ``wait`` hours; ``needs`` names what must be free before it,
    ``right_after`` those of them whose wait it need not keep."""

    name: str
    hours: float
    wait: float
    needs: tuple[str, ...]
    who: str
    _: KW_ONLY
    right_after: tuple[str, ...] = ()


@dataclass(frozen=True)
class Slot:
    """When a task starts, when its work ends, when its wait is over (calendar hours from the first morning), and
    what it
    waited for last (a task's name, or "")."""

    starts: float
    ends: float
    free: float
    after: str


@dataclass(frozen=True)
class Calendar:
    """Working time: ``hours`` a day from the morning on, five days a week, ``first`` the weekday of day one (0:
    Monday)."""

    hours: float
    first: int = 0

    def next_work(self, time: float) -> float:
        """The first working moment at or after a time."""
        day, within = int(time // DAY), time % DAY
        if within >= self.hours - 1e-9:
            day, within = day + 1, 0.0
        while (self.first + day) % 7 >= 5:
            day, within = day + 1, 0.0
        return day * DAY + within

    def after(self, time: float, work: float) -> float:
        """When that much work, begun at or after a time, is done."""
        if work <= 0:
            return time
        now = self.next_work(time)
        while True:
            left = int(now // DAY) * DAY + self.hours - now
            if work <= left + 1e-9:
                return now + work
            work -= left
            now = self.next_work(now + left)


def in_working_order(tasks: Sequence[Task]) -> list[Task]:
    """The tasks so that each comes after what it needs, ties in the order given. Raises graphlib.CycleError."""
    place = {task.name: number for number, task in enumerate(tasks)}
    sorter = TopologicalSorter({task.name: [need for need in task.needs if need in place] for task in tasks})
    sorter.prepare()
    order: list[Task] = []
    ready: list[str] = []
    while sorter.is_active():
        ready = sorted([*ready, *sorter.get_ready()], key=place.__getitem__)
        name = ready.pop(0)
        order.append(tasks[place[name]])
        sorter.done(name)
    return order


def programme(tasks: Sequence[Task], calendar: Calendar, begins: float = 0.0) -> dict[str, Slot]:
    """Every task at its earliest from ``begins``: what it needs is free, and the gang is not at another step.

    Of the steps that could start, the gang takes the one with the longest way still to go.
    """
    to_go = _way_to_go(tasks)
    slots: dict[str, Slot] = {}
    gang_free, gang_last = begins, ""
    waiting = {task.name: task for task in tasks}
    while waiting:
        could = [task for task in waiting.values() if all(need in slots or need not in to_go for need in task.needs)]
        starts = {task.name: _earliest(task, slots, gang_free, gang_last, begins) for task in could}
        chosen = min(could, key=lambda task: (starts[task.name][0], -to_go[task.name], task.name))
        ready, after = starts[chosen.name]
        starts_at = calendar.next_work(ready) if chosen.hours else ready
        ends = calendar.after(starts_at, chosen.hours)
        slots[chosen.name] = Slot(starts_at, ends, ends + chosen.wait, after)
        if chosen.who in SITE_GANG and chosen.hours:
            gang_free, gang_last = ends, chosen.name
        del waiting[chosen.name]
    return slots


def critical_path(slots: Mapping[str, Slot]) -> tuple[str, ...]:
    """The chain of tasks that decides the finish, first to last."""
    if not slots:
        return ()
    name = max(slots, key=lambda each: (slots[each].free, each))
    chain: list[str] = []
    while name:
        chain.append(name)
        name = slots[name].after
    return tuple(reversed(chain))


def at_work(slots: Mapping[str, Slot], calendar: Calendar) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Each working day on which a task is worked at, counted from the first, with those tasks, in the order given."""
    days: dict[int, list[str]] = {}
    for name, slot in slots.items():
        for day in range(int(slot.starts // DAY), ceil(slot.ends / DAY)):
            if slot.ends > slot.starts and calendar.next_work(day * DAY) < (day + 1) * DAY:
                days.setdefault(day, []).append(name)
    yield from ((day, tuple(days[day])) for day in sorted(days))


def _earliest(
    task: Task, slots: Mapping[str, Slot], gang_free: float, gang_last: str, begins: float
) -> tuple[float, str]:
    best, after = begins, ""
    for need in task.needs:
        if need not in slots:
            continue
        ready = slots[need].ends if need in task.right_after else slots[need].free
        if ready > best:
            best, after = ready, need
    if task.who in SITE_GANG and task.hours and gang_free > best:
        best, after = gang_free, gang_last
    return best, after


def _way_to_go(tasks: Sequence[Task]) -> dict[str, float]:
    followers: dict[str, list[str]] = {task.name: [] for task in tasks}
    for task in tasks:
        for need in task.needs:
            if need in followers:
                followers[need].append(task.name)
    lengths: dict[str, float] = {}
    for task in reversed(in_working_order(tasks)):
        after = max((lengths[name] for name in followers[task.name]), default=0.0)
        lengths[task.name] = task.hours + task.wait + after
    return lengths

"""Laws of the order of work: the audit of a plan, and the programme."""

from __future__ import annotations

import itertools
from dataclasses import replace
from graphlib import TopologicalSorter

from hypothesis import given
from hypothesis import strategies as st

from listel.core.host.registry import load
from listel.core.survey.job import PlanStep
from listel.plugins.sequence import Audit, JobStep
from listel.plugins.sequence.audit import audited, pair_weights
from listel.plugins.sequence.programme import DAY, SITE_GANG, Calendar, Task, critical_path, in_working_order, programme
from listel.plugins.sequence.reading import read_line

STEPS = tuple(
    JobStep(step.name, step.title, "asked for", step.needs, step.right_after, required=step.required, who=step.who)
    for step in load([]).steps()
)
NAMES = {step.name: step for step in STEPS}
CHATTER = (
    "make the tea",
    "ring Wilf about the van",
    "lunch",
    "collect the key from next door",
    "good luck!",
    "whatsit",
)


def hold(plan: list[PlanStep]) -> Audit:
    return audited(plan, STEPS, {})


@st.composite
def orders(draw: st.DrawFn) -> list[str]:
    """Any order of all steps in which each comes after what it needs."""
    sorter = TopologicalSorter({step.name: step.needs for step in STEPS})
    sorter.prepare()
    order: list[str] = []
    ready: list[str] = []
    while sorter.is_active():
        ready = sorted([*ready, *sorter.get_ready()])
        name = ready.pop(draw(st.integers(0, len(ready) - 1)))
        order.append(name)
        sorter.done(name)
    return order


def plan_of(order: list[str]) -> list[PlanStep]:
    """One line a step, in the words of the step's title, settled by its name since a title may name others too."""
    return [PlanStep(NAMES[name].title, (name,), line=number) for number, name in enumerate(order, 1)]


@given(orders())
def test_any_working_order_audits_clean(order: list[str]) -> None:
    audit = hold(plan_of(order))
    assert audit == Audit(recognised=audit.recognised, good=audit.good)
    assert [line.steps[0] for line in audit.recognised] == order


@given(orders(), st.sampled_from(STEPS))
def test_a_step_left_out_is_reported_and_nothing_else_is(order: list[str], step: JobStep) -> None:
    audit = hold(plan_of([name for name in order if name != step.name]))
    assert [(missed.step, missed.weight) for missed in audit.missed] == [
        (step.name, "hold" if step.required else "caution")
    ]
    assert audit.out_of_order == ()


@given(orders(), st.sampled_from([(first, step.name) for step in STEPS for first in step.needs]))
def test_a_dependent_pair_swapped_is_reported_but_where_either_may_come_first(
    order: list[str], pair: tuple[str, str]
) -> None:
    a, b = map(order.index, pair)
    order[a], order[b] = order[b], order[a]
    found = {(pair.first, pair.then) for pair in hold(plan_of(order)).out_of_order}
    assert (pair in found) is (pair_weights().get(pair) != "none")


@given(
    st.permutations(sorted(NAMES)),
    st.lists(st.tuples(st.integers(0, 40), st.sampled_from(CHATTER)), min_size=1, max_size=6),
)
def test_chatter_changes_nothing_but_what_was_not_recognised(order: list[str], chatter: list[tuple[int, str]]) -> None:
    quiet = plan_of(order)
    loud = list(quiet)
    for place, text in chatter:
        loud.insert(min(place, len(loud)), PlanStep(text, line=900))
    before, after = hold(quiet), hold(loud)
    assert replace(after, not_recognised=()) == before
    assert len(after.not_recognised) == len(chatter)


@given(st.text(max_size=300))
def test_any_text_is_read(text: str) -> None:
    reading = read_line(text)
    assert set(reading.steps) <= set(NAMES)
    assert not (reading.lost and reading.steps)
    assert read_line(f"  {text.upper()}").steps == read_line(text.upper()).steps


# ---------------------------------------------------------------- the programme


@st.composite
def task_lists(draw: st.DrawFn) -> list[Task]:
    """Up to nine tasks, each needing some of those before it."""
    tasks: list[Task] = []
    for number in range(draw(st.integers(1, 9))):
        needs = tuple(task.name for task in tasks if draw(st.booleans()))
        right_after = tuple(need for need in needs if draw(st.integers(0, 4)) == 0)
        hours = draw(st.integers(0, 80)) / 4
        wait = float(draw(st.sampled_from([0, 0, 1, 16, 24, 100])))
        who = draw(st.sampled_from(["joiner", "decorator", "electrician"]))
        tasks.append(Task(f"t{number}", hours, wait, needs, who, right_after=right_after))
    return tasks


calendars = st.builds(Calendar, st.sampled_from([4.0, 7.5, 8.0, 24.0]), st.integers(0, 6))


def work_between(calendar: Calendar, start: float, end: float) -> float:
    """Working hours between two times, counted day by day."""
    total = 0.0
    for day in range(int(start // DAY), int(end // DAY) + 1):
        if (calendar.first + day) % 7 < 5:
            morning = day * DAY
            total += max(0.0, min(end, morning + calendar.hours) - max(start, morning))
    return total


@given(task_lists(), calendars)
def test_no_step_starts_before_what_it_needs_is_free(tasks: list[Task], calendar: Calendar) -> None:
    slots = programme(tasks, calendar)
    for task in tasks:
        for need in task.needs:
            free = slots[need].ends if need in task.right_after else slots[need].free
            assert slots[task.name].starts >= free - 1e-6


@given(task_lists(), calendars)
def test_work_is_done_in_working_hours_only_and_waits_run_round_the_clock(
    tasks: list[Task], calendar: Calendar
) -> None:
    slots = programme(tasks, calendar)
    for task in tasks:
        slot = slots[task.name]
        assert abs(work_between(calendar, slot.starts, slot.ends) - task.hours) < 1e-6
        assert abs(slot.free - slot.ends - task.wait) < 1e-6
        if task.hours:
            assert work_between(calendar, slot.starts, slot.starts + 0.01) > 0
            assert work_between(calendar, slot.ends - 0.01, slot.ends) > 0


@given(task_lists(), calendars)
def test_the_gang_is_never_at_two_steps(tasks: list[Task], calendar: Calendar) -> None:
    slots = programme(tasks, calendar)
    gang = sorted((slots[t.name].starts, slots[t.name].ends) for t in tasks if t.who in SITE_GANG and t.hours)
    assert all(ends <= starts + 1e-6 for (_, ends), (starts, _) in itertools.pairwise(gang))


@given(task_lists(), calendars)
def test_the_critical_path_ends_at_the_finish_and_its_links_touch(tasks: list[Task], calendar: Calendar) -> None:
    slots = programme(tasks, calendar)
    chain = critical_path(slots)
    assert slots[chain[-1]].free == max(slot.free for slot in slots.values())
    assert work_between(calendar, 0.0, slots[chain[0]].starts) < 1e-6
    by_name = {task.name: task for task in tasks}
    for before, after in itertools.pairwise(chain):
        waited = before in by_name[after].needs and before not in by_name[after].right_after
        ready = slots[before].free if waited else slots[before].ends
        assert slots[after].starts >= ready - 1e-6
        assert work_between(calendar, ready, slots[after].starts) < 1e-6


@given(task_lists())
def test_working_order_keeps_needs_and_loses_nothing(tasks: list[Task]) -> None:
    order = [task.name for task in in_working_order(tasks[::-1])]
    assert sorted(order) == sorted(task.name for task in tasks)
    assert all(order.index(need) < order.index(task.name) for task in tasks for need in task.needs)


@given(task_lists(), calendars, st.data())
def test_without_a_shared_gang_a_longer_wait_never_ends_sooner(
    tasks: list[Task], calendar: Calendar, data: st.DataObject
) -> None:
    tasks = [replace(task, who="electrician") for task in tasks]
    grown = data.draw(st.integers(0, len(tasks) - 1))
    longer = [replace(task, wait=task.wait + 10.0) if n == grown else task for n, task in enumerate(tasks)]
    before, after = programme(tasks, calendar), programme(longer, calendar)
    assert all(after[name].free >= before[name].free - 1e-6 for name in before)

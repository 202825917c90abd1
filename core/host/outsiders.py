"""Code from outside, run apart and within a time: its stages, its rules for heights, and what its steps answer."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import field, replace
from time import monotonic
from typing import Any

from listel.core.contract.stage import Sheet, Step
from listel.core.host.answers import a_kind_of
from listel.core.host.limits import TookTooLong, time_limit, told_error
from listel.core.host.plugin import Plugin
from listel.core.quick import dataclass
from listel.core.survey.job import Job

STAGE_SECONDS = 20.0
"""How long all stages of a plugin from outside, or of all house files together, may take over one job."""

MOST_HOURS = 1_000_000
"""No step takes so long, nor does what is waited for."""

STEP_SECONDS = 5.0
"""How long a step of a plugin from outside may take to answer one question."""


@dataclass(kw_only=True)
class Limits:
    """How code from outside is run: apart and in time where limits are ``at_work``; and what time each has left."""

    at_work: bool = True
    left: dict[str, float] = field(default_factory=dict)

    def run(self, plugin: Plugin, call: Callable[[], Any]) -> Any:
        """What is called of a plugin, within the time that its stages have together. Raises TookTooLong or Failed for
        one from outside that does not come through."""
        if not self._bind(plugin):
            return call()
        purse = plugin.name if plugin.code else "house"
        left = self.left.setdefault(purse, STAGE_SECONDS)
        if left <= 0:
            raise TookTooLong(f"{STAGE_SECONDS:g} s are all there are, and those before it took them")
        began = monotonic()
        try:
            return _kept(plugin, call, left)
        finally:
            self.left[purse] = left - (monotonic() - began)

    def ask(self, plugin: Plugin, call: Callable[[], Any]) -> Any:
        """As ``run``, for one question, which has a time of its own."""
        return _kept(plugin, call, STEP_SECONDS) if self._bind(plugin) else call()

    def _bind(self, plugin: Plugin) -> bool:
        return self.at_work and plugin.outside


def _kept(plugin: Plugin, call: Callable[[], Any], seconds: float) -> Any:
    """What is called, in a process of its own; house rules, which are data, in this one where an alarm can stop it."""
    if not plugin.code and threading.current_thread() is threading.main_thread():
        with time_limit(seconds):
            return call()
    from listel.core.host.apart import apart

    return apart(call, seconds)


class GuardedStep:
    """A step of a plugin from outside: all it can answer is asked at once, apart; what it fails to answer goes into
    ``faults``, and it is left out."""

    def __init__(self, step: Step, plugin: Plugin, limits: Limits, faults: list[tuple[Plugin, str]]) -> None:
        self._step, self._plugin, self._limits, self._faults = step, plugin, limits, faults
        self._asked: tuple[Sheet | None, tuple[Any, Any, Any]] = (None, ("", 0.0, (0.0, "")))

    def step(self) -> Step:
        """The step as the others see it."""
        return replace(
            self._step,
            applies=lambda job, sheet: self._answers(job, sheet)[0],
            hours=self._step.hours and (lambda job, sheet: self._answers(job, sheet)[1]),
            wait=self._step.wait and (lambda job, sheet: self._answers(job, sheet)[2]),
        )

    def _answers(self, job: Job, sheet: Sheet) -> tuple[Any, Any, Any]:
        if self._asked[0] is not sheet:
            self._asked = (sheet, self._ask(job, sheet))
        return self._asked[1]

    def _ask(self, job: Job, sheet: Sheet) -> tuple[Any, Any, Any]:
        nothing = ("", 0.0, (0.0, ""))
        try:
            answers: list[Any] = self._limits.ask(self._plugin, lambda: self._told(job, sheet))
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            answers = [nothing[0], nothing[1], nothing[2], ("applies", told_error(error))]
        for word, says in answers[3:]:
            fault = (self._plugin, f"{word} of its step {self._step.name} failed: {says}")
            if fault not in self._faults:
                self._faults.append(fault)
        return answers[0], answers[1], answers[2]

    def _told(self, job: Job, sheet: Sheet) -> list[Any]:
        """The three answers, then what is wrong with any of them."""
        step, faults = self._step, []
        answers: list[Any] = []
        asks: tuple[tuple[str, Callable[[Any], str], Any], ...] = (
            ("applies", _no_reason, ""),
            ("hours", _no_hours, 0.0),
            ("wait", _no_wait, (0.0, "")),
        )
        for word, slip, otherwise in asks:
            ask, told = getattr(step, word), otherwise
            try:
                if ask and (word == "applies" or answers[0]):
                    told = ask(job, sheet)
                    if says := slip(told):
                        raise TypeError(says)
            except Exception as error:
                told = otherwise
                faults.append((word, told_error(error)))
            answers.append(told)
        return [*answers, *faults]


def _no_reason(told: Any) -> str:
    return "" if isinstance(told, str) else f"it returned {a_kind_of(told)}; it is the reason in words, or none as ''"


def _no_hours(told: Any) -> str:
    if isinstance(told, bool) or not isinstance(told, (int, float)):
        return f"it returned {a_kind_of(told)}; it is a number of hours"
    return "" if 0 <= told < MOST_HOURS else f"it returned {told:g}; hours are from 0 to less than {MOST_HOURS:,}"


def _no_wait(told: Any) -> str:
    if not isinstance(told, tuple) or len(told) != 2 or not isinstance(told[1], str):
        return f"it returned {a_kind_of(told)}; it is the hours and what they are for, as (48.0, 'the paint')"
    return _no_hours(told[0])


def answered(step: Step) -> Step:
    """A step as it stands in the outcome: all it can answer has been asked."""
    return replace(step, applies=_nothing_more, hours=None, wait=None)


def _nothing_more(job: Job, sheet: Sheet) -> str:
    return ""

"""The day's noise and vibration from the tools planned, the values they reach, and what is left at the ear."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.contract.findings import Finding, Grounds, Input, Source, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Protector
from listel.plugins.safety.exposure import (
    ADVISED,
    EAR_FORMULA,
    Use,
    advised_dose,
    daily_noise,
    noise_grounds,
    reached,
    vibration_grounds,
)
from listel.plugins.safety.hazards import hazard, tool_row
from listel.plugins.safety.relations import ear_by_hml, ear_by_snr
from listel.plugins.safety.results import ExposureLine
from listel.plugins.safety.striking import for_nothing, unstruck
from listel.plugins.safety.zones import policy

RULES = load_rules(__package__)

LIMIT, TOO_QUIET = 87.0, 70.0
"""The limit at the ear for the day, and the level under which a protector, while it is worn, shuts out warnings, dB(A).
Source: noise regulations of 2005 and 2006, and L108, HSE."""


@dataclass(frozen=True, kw_only=True)
class Day:
    """The day's uses of one kind, their tools, the inputs and the sources of assumed levels, and what is lacking."""

    uses: tuple[Use, ...]
    tools: tuple[str, ...]
    inputs: tuple[Input, ...]
    lacking: tuple[str, ...]
    sources: tuple[Source, ...]


def day_of(job: Job, kind: str, unit: str) -> Day:
    """The day's uses of one kind ("noise", "vibration"); a level that was not given is taken from the table ``tools``
    and marked assumed.
    """
    uses: list[Use] = []
    tools: list[str] = []
    inputs: list[Input] = []
    lacking: list[str] = []
    sources: list[Source] = []
    for tool in job.work.tools:
        row = tool_row(tool)
        given = getattr(tool, kind)
        level = given if given is not None else (row.get(kind) if row else None)
        if level is None:
            if row is None and given is None:
                lacking.append(f"the {kind} of the {tool.tool}")
            continue
        if tool.hours is None:
            lacking.append(f"the trigger hours of the {tool.tool}")
        if not tool.hours:
            continue
        uses.append((float(level), tool.hours))
        tools.append(tool.tool)
        note = "" if given is not None else f"usual for a {row.name if row else 'tool'}; not given"
        inputs.append(Input(f"{tool.tool}, {kind}", float(level), unit, job.line(tool, kind), given is None, note=note))
        inputs.append(Input(f"{tool.tool}, trigger time", tool.hours, "h", job.line(tool, "hours")))
        if given is None and row is not None:
            sources += row.sources
    return Day(
        uses=tuple(uses),
        tools=tuple(tools),
        inputs=tuple(inputs),
        lacking=tuple(lacking),
        sources=tuple(dict.fromkeys(sources)),
    )


def doses(job: Job, sheet: Sheet) -> Iterator[object]:
    """Noise and vibration of the day, the values they reach, and what is lacking to tell."""
    if not job.work.tools:
        yield RULES["tools-not-surveyed"].lacking(
            "the tools and their trigger hours", "the day's dose of noise and vibration"
        )
        return
    us = job.building.region == "united-states"
    noise, vibration = day_of(job, "noise", "dB(A)"), day_of(job, "vibration", "m/s2")
    struck = for_nothing(job, sheet)
    spared = unstruck(job) if struck else None
    yield from [struck] if struck else ()
    if noise.uses:
        regime = "osha" if us else "european"
        dose, points, grounds = noise_grounds(noise.uses, noise.inputs, regime)
        line = _line("noise", noise, dose, "share" if us else "dB(A)", points, grounds, regime)
        if spared is not None:
            off = day_of(spared, "noise", "dB(A)")
            line = replace(line, unstruck=noise_grounds(off.uses, off.inputs, regime)[2].result)
        yield line
        yield from _noise_of_the_states(job, noise, line) if us else _noise(job, noise, line)
    if vibration.uses:
        dose, points, grounds = vibration_grounds(vibration.uses, vibration.inputs)
        line = _line("vibration", vibration, dose, "m/s2", points, grounds, "european")
        if spared is not None:
            off = day_of(spared, "vibration", "m/s2")
            line = replace(line, unstruck=vibration_grounds(off.uses, off.inputs)[2].result)
        yield line
        yield from _vibration(job, line, us)
    lacking = (*noise.lacking, *vibration.lacking)
    if lacking:
        yield RULES["tools-not-surveyed"].lacking(", ".join(lacking), "the day's dose of noise and vibration")


def _line(
    kind: str, day: Day, dose: float, unit: str, points: float | None, grounds: Grounds, regime: str
) -> ExposureLine:
    called, _, why = reached(kind, dose, regime)
    return ExposureLine(
        kind=kind,
        tools=day.tools,
        dose=dose,
        unit=unit,
        points=points,
        reached=called,
        grounds=replace(grounds, sources=(*grounds.sources, *day.sources, *why)),
    )


def _told(
    job: Job, line: ExposureLine, weight: Weight, says: str, mend: str = "", *, sure: str | None = None
) -> Finding:
    rule = RULES["noise-dose"] if line.kind == "noise" else RULES["vibration-dose"]
    where = Where(line=job.line(job.work, "tools"))
    return rule.told(weight, says, where, line.grounds, mend, dose=line.dose, sure=sure)


def _because(line: ExposureLine) -> str:
    off = f" With the hammer off, as no wall here takes blows, it is {line.unstruck}." if line.unstruck else ""
    return f"The tools planned give {line.grounds.result} in a day, which reaches the {line.reached}.{off}"


def _mend(then: str) -> str:
    return (
        f"{then[0].upper()}{then[1:]}. Shorten the trigger time, share it among more hands, or change the tool; then "
        "give the new hours."
    )


def _noise(job: Job, day: Day, line: ExposureLine) -> Iterator[object]:
    """The action values at the bare ear, and the limit under the protection worn."""
    _, then, _ = reached("noise", line.dose)
    if not line.reached:
        says = f"The day's noise is {line.grounds.result}, under every value held to here."
        yield _told(job, line, "record", says)
        return
    because = _because(line)
    yield hazard("noise", because, line.grounds, also=(then,))
    ear = at_ear(job, day)
    if ear is None:
        over = line.dose >= LIMIT
        lack = " What protection is worn was not surveyed, and the limit counts under it." if over else ""
        mend = f"{'Write what is worn: work, hearing-protection. ' if over else ''}{_mend(then)}"
        yield _told(job, line, "hold" if over else "caution", f"{because}{lack}", mend)
        return
    left, loudest, grounds = ear
    kept = left < LIMIT
    quiet = (
        f" Even the loudest tool is {loudest:.0f} dB(A) under it, which shuts out warnings: guidance asks for a "
        "lighter protector."
        if loudest < TOO_QUIET
        else ""
    )
    says = (
        f"{because} With the hearing protection surveyed, worn all that time, {left:.0f} dB(A) is left at the ear: the "
        f"limit of {LIMIT:g} is {'kept' if kept else 'passed'}, and the duties of the action value stand.{quiet}"
    )
    joined = replace(
        line.grounds,
        inputs=(*line.grounds.inputs, *grounds.inputs),
        worked=f"{line.grounds.worked}; {grounds.worked}",
        sources=(*line.grounds.sources, *grounds.sources),
    )
    yield _told(job, replace(line, grounds=joined), "caution" if kept else "hold", says, _mend(then))


def at_ear(job: Job, day: Day) -> tuple[float, float, Grounds] | None:
    """The day's noise left at the ear under the protection surveyed, and that of the loudest tool while it is used,
    dB(A), and how; None where none was surveyed.

    A level in dB(C) that was not given is taken to lie above that in dB(A) by the table ``policy``, and shown as
    assumed.
    """
    worn = job.work.hearing_protection
    if worn is None or (worn.snr is None and None in (worn.high, worn.medium, worn.low)):
        return None
    inputs = [
        Input(f"protector, {name}", value, "dB", job.line(worn, name))
        for name in ("snr", "high", "medium", "low")
        if (value := getattr(worn, name)) is not None
    ]
    left: list[Use] = []
    tools = {tool.tool: tool for tool in job.work.tools}
    for name, (level, hours) in zip(day.tools, day.uses, strict=True):
        given = tools[name].noise_c
        deep = given if given is not None else level + policy("c-over-a")
        line = job.line(tools[name], "noise_c")
        inputs.append(
            Input(f"{name}, noise", deep, "dB(C)", line, given is None, note="" if given else "our allowance")
        )
        left.append((_under(worn, level, deep), hours))
    total = daily_noise(left)
    worked = f"at the ear {', '.join(f'{level:.1f}' for level, _ in left)} dB(A), {total:.1f} in the day"
    loudest = max(level for level, _ in left)
    return total, loudest, Grounds(tuple(inputs), worked=worked, sources=(EAR_FORMULA,))


def _under(worn: Protector, level: float, deep: float) -> float:
    if worn.snr is not None:
        return ear_by_snr(deep, worn.snr)
    return ear_by_hml(level, deep, worn.high or 0.0, worn.medium or 0.0, worn.low or 0.0)


def _noise_of_the_states(job: Job, day: Day, line: ExposureLine) -> Iterator[object]:
    """The permitted dose of the United States, and beside it the dose that NIOSH advises."""
    advised = advised_dose(day.uses)
    beside = f"NIOSH advises 85 dBA for eight hours, halved for each 3 dB more: the day is {advised:.1f} times that."
    if line.reached:
        _, then, _ = reached("noise", line.dose, "osha")
        because = _because(line)
        yield hazard("noise", because, line.grounds, also=(then,))
        yield _told(job, line, "caution", f"{beside} {because}", _mend(then))
    elif advised > 1:
        told = replace(line, grounds=replace(line.grounds, sources=(*line.grounds.sources, ADVISED)))
        says = f"The day's noise is {line.grounds.result}, which the law allows. {beside}"
        yield hazard("noise", says, told.grounds)
        yield _told(
            job, told, "advice", says, "Wear hearing protection, and shorten the trigger time.", sure="guidance"
        )
    else:
        yield _told(job, line, "record", f"The day's noise is {line.grounds.result}, under every value held to here.")


def _vibration(job: Job, line: ExposureLine, us: bool) -> Iterator[object]:
    _, then, _ = reached("vibration", line.dose)
    beside = (
        " The United States sets no vibration limit in law; the values are advice, as ANSI S2.70 gives them."
        if us
        else ""
    )
    sure = "guidance" if us else None
    if not line.reached:
        says = f"The day's vibration is {line.grounds.result}, under every value held to here.{beside}"
        yield _told(job, line, "record", says, sure=sure)
        return
    because = _because(line)
    yield hazard("vibration", because, line.grounds, also=(then,))
    weight: Weight = "advice" if us else "hold" if "limit" in line.reached else "caution"
    yield _told(job, line, weight, f"{because}{beside}", _mend(then), sure=sure)

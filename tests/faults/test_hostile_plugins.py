"""Ways in which a plugin from outside may go wrong or do harm: each is told as a hold or leaves no trace.

What is not contained is listed in DEVELOPERS.md, section 2.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from listel.core.contract.findings import Finding
from listel.core.host import apart, limits, registry
from listel.core.host.firm import Firm
from listel.core.host.outcome import Outcome
from listel.core.survey.job import Job
from listel.core.survey.reading import job_from_text
from listel.reports.statement import composed, to_html

SURVEY = """\
listel: 1
job: {title: T}
rooms: [{name: Hall, height: 2700, walls: [{name: A, length: 3000, substrate: {kind: lime-on-lath}}]}]
trim: [{name: skirting, member: skirting, where: [{room: Hall}], section: {height: 120, projection: 20}}]
"""

HEAD = """
import atexit, ctypes, itertools, os, signal, sys, threading, time
from dataclasses import dataclass
from pathlib import Path
from listel import (
    Finding, Grounds, Reckoner, Reckoning, Section, Stage, Step, Where, Words, hookimpl, sets,
)
from listel.plugins.fixings import FixingSchedule
from listel.plugins.heights import RailHeights

@dataclass(frozen=True)
class Own:
    text: str = ""
"""

IMPORT = {
    "raises": "raise RuntimeError('broken')",
    "exits": "sys.exit(0)",
    "ends the process": "os._exit(0)",
    "aborts": "os.abort()",
    "crashes the interpreter": "ctypes.string_at(0)",
    "kills itself": "os.kill(os.getpid(), signal.SIGKILL)",
    "is no python": "def (:",
    "imports what is not there": "import nothing_of_this_name",
    "imports a name that is gone": "from listel import Gone",
    "loops": "while True: pass",
    "loops and catches all": "while True:\n    try:\n        while True: pass\n    except BaseException: pass",
    "recurses": "def f(): f()\nf()",
    "changes listel": "Finding.open_hold = property(lambda self: False)",
    "changes a function of listel": "import listel.core.host.outcome as e\ne.Outcome.to_json = lambda outcome: {}",
    "asks to be called at the end": "atexit.register(os._exit, 0)",
    "leaves a thread": "threading.Thread(target=time.sleep, args=(30,)).start()",
    "has an odd version": "__version__ = ['1']",
    "answers every name": "def __getattr__(name): raise RuntimeError(name)",
    "lists odd names": "def __dir__(): return [7]",
    "has no hook": "x = 1",
    "misspells a hook": "@hookimpl\ndef listel_stagez(): return []",
    "forgets the mark": "def listel_stages(): return []",
    "asks for too much": "@hookimpl\ndef listel_stages(job): return []",
}

NOTHING = "lambda job, sheet: ()"
HOOKS = {
    "raises": ("stages", "raise KeyError('x')"),
    "forgets return": ("stages", "[]"),
    "returns a number": ("stages", "return 7"),
    "returns texts": ("stages", "return ['x']"),
    "hangs": ("stages", "while True: pass"),
    "ends the process": ("steps", "os._exit(0)"),
    "a name of a number": ("stages", f"return [Stage(7, {NOTHING})]"),
    "needs a text": ("stages", f"return [Stage('own', {NOTHING}, needs='RailHeights')]"),
    "gives what is no type": ("stages", f"return [Stage('own', {NOTHING}, gives=(1,))]"),
    "examines with a text": ("stages", "return [Stage('own', 'examine')]"),
    "a name that is taken": ("stages", f"return [Stage('heights', {NOTHING})]"),
    "gives what another gives": ("stages", f"return [Stage('own', {NOTHING}, gives=(RailHeights,))]"),
    "a template of text": ("sections", "return [Section('own', 'Own', 410, 'a.html')]"),
    "a template that is not there": ("sections", "return [Section('own', 'Own', 410, Path('/nowhere.html'))]"),
    "a place of text": ("sections", "return [Section('own', 'Own', '410', Path(__file__))]"),
    "a reader there is none of": ("sections", "return [Section('own', 'Own', 410, Path(__file__), ('dog',))]"),
    "a step that applies as text": ("steps", "return [Step('own', 'Own', 'yes')]"),
    "a step with needs of text": ("steps", "return [Step('own', 'Own', lambda job, sheet: '', needs='cut')]"),
    "a step by a stranger": ("steps", "return [Step('own', 'Own', lambda job, sheet: '', who='dog')]"),
    "phrases of text": ("words", "return [Words('cut', 'dock')]"),
    "a rule with an odd weight": (
        "rules",
        "from listel import Rule\n    return [Rule(name='a/b', weights=('heavy',), when='', why='')]",
    ),
    "a table of texts": ("tables", "return ['timbers']"),
}

STAGE = {
    "raises": "raise RuntimeError('broken')",
    "exits": "sys.exit(0)",
    "ends like a generator": "raise GeneratorExit",
    "ends the process": "os._exit(0)",
    "aborts": "os.abort()",
    "crashes the interpreter": "ctypes.string_at(0)",
    "kills itself": "os.kill(os.getpid(), signal.SIGKILL)",
    "loops": "while True: pass",
    "loops and catches all": "while True:\n        try: sum(range(99))\n        except BaseException: pass",
    "counts for ever": "sum(itertools.count())",
    "ignores the alarm": "signal.signal(signal.SIGALRM, signal.SIG_IGN)\n    while True: pass",
    "clears the timer": "signal.setitimer(signal.ITIMER_REAL, 0)\n    while True: pass",
    "recurses": "def f(): f()\n    f()",
    "finds without end": "yield from (Finding('own/a', 'record', 'A.') for _ in itertools.count())",
    "has no memory": "raise MemoryError",
    "takes all memory": "x = bytearray(1 << 40)",
    "says a long error": "raise RuntimeError('x' * 1_000_000)",
    "cannot say its error": "raise type('E', (Exception,), {'__str__': lambda self: 1 / 0})",
    "half a letter": "yield Finding('own/a', 'record', 'A \\ud800.')",
    "letters for a terminal": "yield Finding('own/a', 'record', 'A \\x1b[31m \\0.')",
    "says a number": "yield Finding('own/a', 'record', 7)",
    "says nothing": "yield Finding('own/a', 'record', ' ')",
    "grounds of text": "yield Finding('own/a', 'record', 'A.', Where(), 'because')",
    "a place of text": "yield Finding('own/a', 'record', 'A.', 'Hall')",
    "inputs of text": "yield Finding('own/a', 'record', 'A.', Where(), Grounds(('a',)))",
    "a weight there is none of": "yield Finding('own/a', 'heavy', 'A.')",
    "a rule of no form": "yield Finding('Own', 'record', 'A.')",
    "junk": "yield 7",
    "a result it does not declare": "yield Own()",
    "another's result": "yield sheet[FixingSchedule]",
    "sets what may not be set": "yield sets(sheet[FixingSchedule].lines[0], points=())",
    "sets junk": "yield sets(sheet[FixingSchedule].lines[0], length='long')",
    "sets in a line of its own": "yield sets(Own(), text='a')",
    "asks for what is not there": "sheet[Own]",
}

GIVES = {
    "nothing": "return ()",
    "it twice": "yield Own()\n    yield Own()",
    "a field of another type": "yield Own(7)",
    "what cannot be passed on": "yield Own(lambda: 1)",
    "what calls when it is read": "yield Own(type('T', (str,), {'__reduce__': lambda self: (os._exit, (0,))})('a'))",
}

HARMLESS = {
    "prints": "print('I print')\n    os.write(1, b'I write')\n    yield from ()",
    "changes its folder": "os.chdir('/')\n    yield from ()",
    "changes its mask": "os.umask(0o777)\n    yield from ()",
    "closes standard output": "os.close(1)\n    yield from ()",
    "changes listel": "Finding.open_hold = property(lambda self: False)\n    yield from ()",
    "asks to be called at the end": "atexit.register(os._exit, 0)\n    yield from ()",
    "leaves a thread": "threading.Thread(target=time.sleep, args=(30,)).start()\n    yield from ()",
    "changes the job": "object.__setattr__(job, 'rooms', ())\n    yield from ()",
    "empties a result": "object.__setattr__(sheet[FixingSchedule], 'lines', ())\n    yield from ()",
    "empties the sheet": "sheet._results.clear()\n    yield from ()",
}

STEPS = {
    "applies raises": "applies=lambda job, sheet: 1 / 0",
    "applies ends the process": "applies=lambda job, sheet: os._exit(0)",
    "applies says nothing": "applies=lambda job, sheet: None",
    "hours without end": "applies=lambda job, sheet: 'a', hours=lambda job, sheet: float('inf')",
    "a wait of text": "applies=lambda job, sheet: 'a', wait=lambda job, sheet: 'long'",
    "applies loops": "applies=lambda job, sheet: sum(itertools.count())",
}

SECTIONS = {
    "a name that is not there": "{{ nope }}",
    "no template": "{% for %}",
    "without end": "{% for a in job.title * 10000000 %}{% for b in job.title * 10000000 %}{% endfor %}{% endfor %}",
    "another's HTML": "<script>alert(1)</script>",
    "a sum of words": "{{ 1 / 0 }}",
}

FOR_EVER = {
    "loops",
    "loops and catches all",
    "hangs",
    "counts for ever",
    "ignores the alarm",
    "clears the timer",
    "finds without end",
    "applies loops",
    "without end",
}


@pytest.fixture(scope="module")
def job() -> Job:
    """A room without trim, of which little is reckoned."""
    return job_from_text(SURVEY.partition("trim:")[0])


@pytest.fixture(scope="module")
def sound(job: Job) -> Outcome:
    return Firm(installed=False).examine(job)


@pytest.fixture(autouse=True)
def soon(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """What never ends is stopped soon; all else has its whole time, however busy the machine."""
    if hasattr(request.node, "callspec") and request.node.callspec.params["way"] in FOR_EVER:
        monkeypatch.setattr(registry, "LOAD_SECONDS", 0.5)
        monkeypatch.setattr("listel.core.host.outsiders.STAGE_SECONDS", 0.2)
        monkeypatch.setattr("listel.core.host.outsiders.STEP_SECONDS", 0.2)
        monkeypatch.setattr("listel.reports.templating.TEMPLATE_SECONDS", 0.2)
        for module in (limits, apart):
            monkeypatch.setattr(module, "AGAIN", 0.02)


def examined(folder: Path, job: Job, text: str) -> Outcome:
    path = folder / "own.py"
    path.write_text(HEAD + text + "\n", encoding="utf-8")
    return Firm(plugins=[path], installed=False).examine(job)


def of_the_trade(outcome: Outcome) -> set[Finding]:
    """What listel tells, but of the programme, which counts the holds."""
    return {finding for finding in outcome.findings if not finding.rule.startswith("sequence/")}


def assert_contained(outcome: Outcome, sound: Outcome) -> None:
    """A hold names the plugin; all that listel itself tells is told as without it; it can be written."""
    outcome, statement = composed(outcome)
    holds = [finding for finding in outcome.findings if finding.rule.startswith("engine/") and finding.open_hold]
    assert any("own" in hold.says for hold in holds), [finding.says for finding in outcome.findings]
    assert not statement.fit_for_issue
    assert of_the_trade(sound) <= set(outcome.findings)
    json.dumps(outcome.to_json()).encode("utf-8")
    to_html(statement).encode("utf-8")


def stage(body: str, ties: str = "wants=(FixingSchedule,)") -> str:
    return (
        f"def examine(job, sheet):\n    {body}\n    yield from ()\n"
        f"@hookimpl\ndef listel_stages():\n    return [Stage('own', examine, {ties})]"
    )


@pytest.mark.parametrize("way", IMPORT)
def test_what_a_plugin_does_as_it_is_imported(way: str, tmp_path: Path, job: Job, sound: Outcome) -> None:
    assert_contained(examined(tmp_path, job, IMPORT[way]), sound)


@pytest.mark.parametrize("way", HOOKS)
def test_what_a_hook_does_or_answers(way: str, tmp_path: Path, job: Job, sound: Outcome) -> None:
    hook, body = HOOKS[way]
    assert_contained(examined(tmp_path, job, f"@hookimpl\ndef listel_{hook}():\n    {body}"), sound)


@pytest.mark.parametrize("way", STAGE)
def test_what_a_stage_does_or_yields(way: str, tmp_path: Path, job: Job, sound: Outcome) -> None:
    if way.startswith("sets"):
        outcome = examined(tmp_path, job_from_text(SURVEY), stage(STAGE[way], "amends=(FixingSchedule,)"))
        assert any(f.rule == "engine/stage-failed" and "The stage own" in f.says for f in outcome.holds)
    else:
        assert_contained(examined(tmp_path, job, stage(STAGE[way])), sound)


@pytest.mark.parametrize("way", GIVES)
def test_a_result_that_is_none(way: str, tmp_path: Path, job: Job, sound: Outcome) -> None:
    assert_contained(examined(tmp_path, job, stage(GIVES[way], "gives=(Own,)")), sound)


@pytest.mark.parametrize("way", STEPS)
def test_a_step_that_does_not_answer(way: str, tmp_path: Path, job: Job, sound: Outcome) -> None:
    step = f"@hookimpl\ndef listel_steps():\n    return [Step(name='own', title='Own', {STEPS[way]})]"
    outcome = examined(tmp_path, job, step)
    assert any("its step own failed" in hold.says for hold in outcome.holds)
    assert of_the_trade(sound) <= set(outcome.findings)


@pytest.mark.parametrize("way", SECTIONS)
def test_a_section_that_cannot_be_made(way: str, tmp_path: Path, job: Job, sound: Outcome) -> None:
    (tmp_path / "own.html.j2").write_text(SECTIONS[way], encoding="utf-8")
    section = "return [Section('own', 'Own', 410, Path(__file__).with_name('own.html.j2'))]"
    outcome = examined(tmp_path, job, f"@hookimpl\ndef listel_sections():\n    {section}")
    assert "engine/section-failed" in {finding.rule for finding in outcome.holds}
    assert_contained(outcome, sound)


@pytest.mark.parametrize("way", HARMLESS)
def test_what_leaves_no_trace(
    way: str, tmp_path: Path, job: Job, sound: Outcome, capfd: pytest.CaptureFixture[str]
) -> None:
    folder = Path.cwd()
    outcome = examined(tmp_path, job, stage(HARMLESS[way]))
    assert outcome.findings == sound.findings
    assert outcome.job == job and len(job.rooms) == 1
    assert Path.cwd() == folder
    mask = os.umask(0o022)
    os.umask(mask)
    assert mask != 0o777
    assert capfd.readouterr().out == ""


def test_there_are_as_many_ways_as_were_promised() -> None:
    assert sum(map(len, (IMPORT, HOOKS, STAGE, GIVES, STEPS, SECTIONS, HARMLESS))) >= 59

"""A plugin from outside that clashes, or whose step fails, loses just that, and the statement says so."""

from __future__ import annotations

import time
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

import pytest

from listel.core.contract.reckoning import Reckoner, Reckoning
from listel.core.contract.stage import Section, Stage, Step, Steps
from listel.core.host.admit import admitted
from listel.core.host.engine import examine
from listel.core.host.limits import TookTooLong, time_limit
from listel.core.host.plugin import Plugin
from listel.core.host.registry import Registry, load, plugin_from
from listel.core.survey.job import Job


@dataclass(frozen=True)
class Tops:
    pass


@dataclass(frozen=True)
class Paints:
    pass


HERE = Path(__file__)
OURS = Plugin(
    "ours",
    "1",
    "built in",
    stages=(Stage("ours", lambda job, sheet: [Tops()], gives=(Tops,)),),
    reckoners=(Reckoner("twice", "", (), lambda given: Reckoning({})),),
    steps=(Step("fix", "Fix", lambda job, sheet: "always"),),
    sections=(Section("tops", "Tops", 1, HERE),),
    outside=False,
)


def beside(**adds):
    return admitted([OURS, Plugin("acme", "1", "test", **adds)])[1]


@pytest.mark.parametrize(
    ("adds", "says"),
    [
        ({"stages": (Stage("acme", lambda j, s: [Tops()], gives=(Tops,)),)}, "Tops is given by both acme and ours"),
        ({"stages": (Stage("ours", lambda j, s: []),)}, "two stages are named ours"),
        ({"stages": (Stage("acme", lambda j, s: [], needs=(Paints,)),)}, "acme needs Paints, which no installed"),
        ({"steps": OURS.steps}, "its step fix is left out: ours has one of that name"),
        ({"sections": OURS.sections}, "its section tops is left out: ours has one of that name"),
        ({"reckoners": OURS.reckoners}, "its reckoner twice is left out: ours has one of that name"),
        ({"sections": (Section("acme", "A", 2, HERE.with_name("none.j2")),)}, "there is no file none.j2"),
    ],
)
def test_what_clashes_is_left_out_and_told(adds, says):
    (group,) = adds
    plugin = beside(**adds)
    assert getattr(plugin, group) == ()
    assert says in plugin.faults[0]


def test_what_does_not_clash_stays():
    plugin = beside(steps=(*OURS.steps, Step("wax", "Wax", lambda job, sheet: "always")))
    assert [step.name for step in plugin.steps] == ["wax"]
    assert admitted(admitted([OURS, plugin])) == admitted([OURS, plugin])


def test_a_plugin_may_need_what_a_later_one_gives():
    needer = Plugin("a", "1", "test", stages=(Stage("a", lambda j, s: [], needs=(Paints,)),))
    giver = Plugin("b", "1", "test", stages=(Stage("b", lambda j, s: [Paints()], gives=(Paints,)),))
    assert [plugin.faults for plugin in admitted([OURS, needer, giver])] == [(), (), ()]


def hangs(job, sheet):
    while True:
        time.sleep(0.01)


@pytest.mark.parametrize(
    ("step", "says"),
    [
        (Step("wax", "Wax", lambda job, sheet: 1 / 0), "ZeroDivisionError: division by zero (test_admit.py, line "),
        (Step("wax", "Wax", lambda job, sheet: True), "it returned a bool"),
        (Step("wax", "Wax", hangs), "it did not end within"),
        (Step("wax", "Wax", lambda job, sheet: "yes", hours=lambda job, sheet: "two"), "hours of its step wax failed"),
        (Step("wax", "Wax", lambda job, sheet: "yes", wait=lambda job, sheet: 24), "wait of its step wax failed"),
    ],
)
def test_a_step_that_fails_costs_only_itself(step, says, monkeypatch):
    monkeypatch.setattr("listel.core.host.outsiders.STEP_SECONDS", 0.2)

    def asks(job, sheet):
        for step in sheet[Steps].steps:
            step.applies(job, sheet)
            if step.hours:
                assert step.hours(job, sheet) == 0
            if step.wait:
                assert step.wait(job, sheet) == (0, "")
        yield Tops()

    ours = Plugin("ours", "1", "built in", stages=(Stage("ours", asks, gives=(Tops,)),), outside=False)
    outcome = examine(Job(title="x"), Registry((ours, Plugin("acme", "1", "test", steps=(step,)))))
    (finding,) = outcome.findings
    assert finding.rule == "engine/plugin-failed"
    assert "acme" in finding.says
    assert says in finding.says
    assert Tops in outcome.sheet


def test_a_time_limit_within_another_leaves_the_outer_one_at_work():
    with pytest.raises(TookTooLong), time_limit(0.3):
        with time_limit(0.1):
            pass
        time.sleep(5)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("from listel import hookimpl\n@hookimpl\ndef listel_stage():\n    return []", "Did you mean listel_stages?"),
        ("def listel_stages():\n    return []", "listel_stages lacks the mark @hookimpl"),
        ("x = 1", "it has no hook"),
        (
            "from listel import Stage, hookimpl\n@hookimpl\ndef listel_stages():\n    return Stage('a', print)",
            "on its own",
        ),
        ("from listel import hookimpl\n@hookimpl\ndef listel_stages():\n    return 1 / 0", "(acme.py, line 4)"),
    ],
)
def test_hooks_that_nobody_would_call_are_told(text, says, tmp_path):
    path = tmp_path / "acme.py"
    path.write_text(text, encoding="utf-8")
    (fault,) = load([path], entry_points=False).plugins[-1].faults
    assert says in fault


def test_the_digest_covers_the_code_and_the_templates_of_a_plugin_from_outside(tmp_path, monkeypatch):
    monkeypatch.syspath_prepend(tmp_path)
    folder = tmp_path / "acme_digest"
    folder.mkdir()
    hook = "from listel import hookimpl\n\n@hookimpl\ndef listel_steps():\n    return []\n"
    (folder / "__init__.py").write_text(hook, encoding="utf-8")
    module = import_module("acme_digest")
    digests = []
    for name in ("rules.py", "spacing.yaml", "section.html.j2"):
        (folder / name).write_text("a: 1", encoding="utf-8")
        digests.append(plugin_from(module, "acme", "1", "test").tables_digest)
    assert len(set(digests)) == 3


def test_whoever_was_at_work_is_named_with_version_and_origin():
    outcome = examine(Job(title="x"), Registry((OURS, Plugin("acme", "2", "file acme.py"))))
    assert [(each.plugin, each.version, each.origin, each.outside) for each in outcome.plugins] == [
        ("ours", "1", "built in", False),
        ("acme", "2", "file acme.py", True),
    ]

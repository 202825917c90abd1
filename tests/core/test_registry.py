"""Plugins are loaded one at a time, each guarded."""

from __future__ import annotations

import textwrap

import pytest

from listel.core.host import registry
from listel.core.host.engine import examine
from listel.core.host.registry import BUILT_IN, Registry, load
from listel.core.survey.job import Job


def write(tmp_path, name, text):
    path = tmp_path / name
    path.write_text(textwrap.dedent(text), encoding="utf-8")
    return path


GOOD = """
    from listel import Reckoner, Reckoning, Rule, Stage, hookimpl

    __version__ = "2.1"

    @hookimpl
    def listel_rules():
        return [LOOKED]

    LOOKED = Rule(name=f"{__name__[14:]}/looked", weights=("advice",), when="it looks", why="it is seen")

    def examine(job, sheet):
        yield LOOKED.told("advice", "Looked.")

    @hookimpl
    def listel_stages():
        return [Stage("acme", examine)]

    @hookimpl
    def listel_reckoners():
        return [Reckoner("twice", "Twice a number", (), lambda given: Reckoning({"twice": 2}))]
"""

BAD = {
    "raises": "raise RuntimeError('broken on import')",
    "syntax": "def (:",
    "exits": "raise SystemExit(1)",
    "hangs": "while True: pass",
    "misspelt": "from listel import hookimpl\n@hookimpl\ndef listel_stage():\n    return []",
    "argument": "from listel import hookimpl\n@hookimpl\ndef listel_stages(house):\n    return []",
    "junk": "from listel import hookimpl\n@hookimpl\ndef listel_stages():\n    return 7",
    "items": "from listel import hookimpl\n@hookimpl\ndef listel_stages():\n    return ['fixings']",
    "hook raises": "from listel import hookimpl\n@hookimpl\ndef listel_stages():\n    raise KeyError('x')",
    "hook hangs": "from listel import hookimpl\n@hookimpl\ndef listel_stages():\n    while True: pass",
}


def test_every_built_in_plugin_loads_without_fault():
    loaded = load(entry_points=False)
    assert [plugin.name for plugin in loaded.plugins] == list(BUILT_IN)
    assert [plugin.faults for plugin in loaded.plugins] == [()] * len(BUILT_IN)
    assert not any(plugin.outside for plugin in loaded.plugins)


def test_a_plugin_from_a_file_is_named_with_version_and_origin(tmp_path):
    path = write(tmp_path, "acme_rules.py", GOOD)
    plugin = load([path], entry_points=False).plugins[-1]
    assert (plugin.name, plugin.version, plugin.origin) == ("acme-rules", "2.1", f"file {path}")
    assert [stage.name for stage in plugin.stages] == ["acme"]
    assert plugin.reckoners[0].name == "twice"
    assert plugin.tables_digest


@pytest.mark.parametrize("how", BAD)
def test_a_plugin_that_cannot_be_used_is_a_fault_beside_its_name(how, tmp_path, monkeypatch):
    if "hangs" in how:
        monkeypatch.setattr(registry, "LOAD_SECONDS", 1)
    bad = write(tmp_path, "bad.py", BAD[how])
    good = write(tmp_path, "acme.py", GOOD)
    loaded = load([bad, good], entry_points=False)
    faulty = loaded.plugins[-2]
    assert faulty.faults
    assert loaded.plugins[-1].faults == ()
    outcome = examine(Job(title="x"), Registry(loaded.plugins[-2:]))
    assert [finding.rule for finding in outcome.findings] == ["engine/plugin-failed", "acme/looked"]
    assert not outcome.fit_for_issue


def test_a_plugin_prints_once_and_one_without_a_version_is_called_by_its_name(tmp_path, capfd):
    path = write(tmp_path, "acme.py", GOOD.replace('__version__ = "2.1"', "print('here')"))
    (acme,) = load([path], entry_points=False).plugins[len(BUILT_IN) :]
    assert (acme.called, acme.faults) == ("acme", ())
    assert capfd.readouterr() == ("", "here\n")


def test_a_file_that_is_not_there_or_not_python_is_a_fault(tmp_path):
    for path in (tmp_path / "missing.py", write(tmp_path, "notes.txt", "hello")):
        assert "could not be loaded" in load([path], entry_points=False).plugins[-1].faults[0]


def test_of_two_reckoners_of_one_name_the_first_stands_and_the_other_plugin_says_so(tmp_path):
    one = write(tmp_path, "one.py", GOOD)
    two = write(tmp_path, "two.py", GOOD.replace('Stage("acme"', 'Stage("two"'))
    loaded = load([one, two], entry_points=False)
    assert [len(plugin.reckoners) for plugin in loaded.plugins[-2:]] == [1, 0]
    assert loaded.plugins[-1].faults == ("its reckoner twice is left out: one has one of that name",)
    assert "twice" in loaded.reckoners()

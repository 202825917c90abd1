"""listel as a library: one job or many, in any thread or process, with nothing kept between calls."""

from __future__ import annotations

import copy
import gc
import json
import pickle
import re
import threading
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

import listel

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "schemas" / "examples"
SMALL = """\
listel: 1
job: {{title: Job {number}}}
building: {{built: 1890, region: england}}
rooms: [{{name: Hall, height: {height}, walls: [{{name: A, length: 3000, substrate: {{kind: lime-on-lath}}}}]}}]
trim: [{{name: dado, member: dado-rail, where: [{{room: Hall}}], section: {{height: 60, projection: 20}}}}]
"""

LOOPS = """
from listel import Stage, hookimpl

def examine(job, sheet):
    while True:
        try:
            while True: pass
        except BaseException:
            pass

@hookimpl
def listel_stages():
    return [Stage("loops", examine)]
"""


@pytest.fixture(scope="module")
def outcome() -> listel.Outcome:
    return listel.examine(listel.read(EXAMPLES / "plain-room.yaml"))


@pytest.mark.parametrize("name", ["plain-room", "stair-hall", "us-house"])
def test_job_and_outcome_pickle_and_copy_whole(name: str) -> None:
    job = listel.read(EXAMPLES / f"{name}.yaml")
    outcome = listel.examine(job)
    for made in (pickle.loads(pickle.dumps(job)), copy.deepcopy(job)):
        assert (made, made.lines, made.taken) == (job, job.lines, job.taken)
    for each in (pickle.loads(pickle.dumps(outcome)), copy.deepcopy(outcome)):
        assert each == outcome
        assert listel.render(each) == listel.render(outcome)


def test_outcomes_are_equal_by_what_they_hold(outcome: listel.Outcome) -> None:
    assert listel.examine(outcome.job) == outcome
    other = outcome.job.title + " again"
    assert listel.examine(replace(outcome.job, title=other)) != outcome


def test_an_outcome_is_compared_with_another_and_with_one_that_was_kept() -> None:
    text = SMALL.format(number=1, height=2700)
    before, after = (listel.examine(listel.read(each)) for each in (text, text.replace("length: 3000", "length: 3012")))
    told = listel.compare(before, after)
    assert ("SettingOut", "overall", "3000 mm", "3012 mm") in [(c.result, c.key, c.was, c.now) for c in told.lines]
    assert listel.compare(json.loads(json.dumps(before.to_json())), after) == told
    with pytest.raises(ValueError, match="this is no outcome"):
        listel.compare({}, after)


def test_text_and_file_read_alike_and_faults_have_their_places() -> None:
    path = EXAMPLES / "plain-room.yaml"
    assert listel.read(path.read_text("utf-8")) == listel.read(str(path))
    with pytest.raises(listel.Faults) as faults:
        listel.read("listel: 1\njob: {title: T}\nrooms: [{name: Hall, walls: [{name: A, lenght: 3000}]}]\n")
    (fault,) = faults.value.faults
    assert (fault.line, fault.column) == (3, 40)
    assert "Did you mean length" in fault.says
    assert issubclass(listel.Faults, listel.InputFault)


def test_each_form_is_rendered_for_each_reader(outcome: listel.Outcome) -> None:
    assert json.loads(listel.render(outcome, form="json"))["digest"] == outcome.digest
    assert len(listel.render(outcome, "client")) < len(listel.render(outcome))
    assert listel.render(outcome, "all", "pdf").startswith(b"%PDF")
    assert listel.render(outcome, "all", "word").startswith(b"PK")
    with pytest.raises(ValueError, match="there is no form rtf"):
        listel.render(outcome, "all", "rtf")  # type: ignore[call-overload]
    with pytest.raises(ValueError, match="there is no reader clint; there are client, "):
        listel.render(outcome, "clint")  # type: ignore[call-overload]


def test_one_file_stands_for_a_list_of_one_and_a_plugin_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(listel.Faults, match=r"house\.yaml: there is no such file"):
        listel.Firm(house=str(tmp_path / "house.yaml"))
    with pytest.raises(listel.Faults, match=r"no plugin hieghts\. Did you mean heights"):
        listel.Firm(options={"hieghts": {"most": 3}})


def test_a_plan_is_audited_from_text_and_from_the_survey(outcome: listel.Outcome) -> None:
    audit = listel.audit(outcome, "measure the room\nfix the skirting\n")
    assert [each.steps for each in audit.recognised][-1] == ("fix",)
    assert audit.missed
    with pytest.raises(listel.InputFault, match="there is no plan"):
        listel.audit(outcome)


def test_the_readmes_lines_run(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = re.search(r"<!-- library -->\n```python\n(.*?)```", (ROOT / "README.md").read_text("utf-8"), re.DOTALL)
    assert lines and len(lines[1].strip().splitlines()) <= 12
    monkeypatch.chdir(ROOT)
    written: dict[str, str] = {}
    monkeypatch.setattr(Path, "write_text", lambda self, text: written.update({self.name: text}))
    exec(compile(lines[1], "README", "exec"), {"__name__": "readme"})
    assert len(written["hall.html"]) > 10_000


# ---------------------------------------------------------------- threads


@pytest.fixture
def looping(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> listel.Firm:
    monkeypatch.setattr("listel.core.host.outsiders.STAGE_SECONDS", 0.3)
    (tmp_path / "loops.py").write_text(LOOPS, encoding="utf-8")
    return listel.Firm(plugins=[tmp_path / "loops.py"], installed=False)


def test_a_looping_plugin_in_a_pool_of_threads_ends_as_a_hold_and_the_process_lives(looping: listel.Firm) -> None:
    job = listel.read(SMALL.format(number=1, height=2700))
    with ThreadPoolExecutor(3) as pool:
        outcomes = list(pool.map(lambda _: looping.examine(job), range(3)))
    for outcome in outcomes:
        (hold,) = (finding for finding in outcome.findings if finding.rule == "engine/stage-failed")
        assert "The stage loops of loops" in hold.says and "did not end within" in hold.says
        assert not outcome.fit_for_issue
    assert threading.active_count() < 10


def test_limits_may_be_left_to_the_caller(tmp_path: Path) -> None:
    (tmp_path / "here.py").write_text(
        "from listel import Finding, Rule, Stage, hookimpl\nSEEN = []\n"
        "SEEN_ONCE = Rule(name='here/seen', weights=('record',), when='it runs', why='it counts')\n"
        "@hookimpl\ndef listel_rules():\n    return [SEEN_ONCE]\n"
        "def examine(job, sheet):\n    SEEN.append(1)\n    yield Finding('here/seen', 'record', f'{len(SEEN)} seen.')\n"
        "@hookimpl\ndef listel_stages():\n    return [Stage('here', examine)]\n",
        encoding="utf-8",
    )
    firm = listel.Firm(plugins=[tmp_path / "here.py"], installed=False)
    job = listel.read(SMALL.format(number=1, height=2700))

    def said(**how: bool) -> str:
        return next(f.says for f in listel.examine(job, firm, **how).findings if f.rule == "here/seen")

    assert [said(), said(), said(limits=False), said(limits=False)] == ["1 seen."] * 3 + ["2 seen."]


def test_the_library_leaves_the_collector_of_garbage_as_it_was(outcome: listel.Outcome) -> None:
    listel.render(outcome)  # what is made once, at the first use, is made
    before = gc.get_threshold(), gc.get_freeze_count()
    listel.render(listel.examine(outcome.job))
    assert (gc.get_threshold(), gc.get_freeze_count()) == before


# ---------------------------------------------------------------- many jobs


@pytest.fixture(scope="module")
def surveys(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("many")
    paths = [folder / f"job-{number}.yaml" for number in range(100)]
    for number, path in enumerate(paths):
        text = SMALL.format(number=number, height=2400 + 7 * number)
        path.write_text(text if number % 10 == 0 else text.partition("trim:")[0], encoding="utf-8")
    paths[40].write_text("listel: 1\njob: {title: T}\nrooms: 7\n", encoding="utf-8")
    return [*paths, folder / "nowhere.yaml"]


def hashes(examined: Any) -> list[str]:
    return [sha256(f"{each.name}\0{each.json}\0{each.html}\0{each.fault}".encode()).hexdigest() for each in examined]


def test_a_hundred_jobs_through_a_pool_of_processes_come_out_as_one_after_the_other(surveys: list[Path]) -> None:
    firm = listel.Firm(installed=False)
    serial = list(listel.examine_many(surveys, firm=firm, reader="snags"))
    assert [each.name for each in serial if each.fault] == ["job-40.yaml", "nowhere.yaml"]
    assert "job-40.yaml:3:" in serial[40].fault
    with ProcessPoolExecutor(2) as pool:
        assert hashes(listel.examine_many(surveys, pool, firm, reader="snags")) == hashes(serial)


class Breaks(Executor):
    """An executor whose second process is killed."""

    def submit(self, fn: Any, /, *args: Any, **keys: Any) -> Future[Any]:
        future: Future[Any] = Future()
        if args[0] == "job-1.yaml":
            future.set_exception(OSError("its process was killed"))
        else:
            future.set_result(fn(*args, **keys))
        return future


def test_each_job_fails_on_its_own(surveys: list[Path]) -> None:
    made = list(listel.examine_many(surveys[:3], Breaks(), listel.Firm(installed=False)))
    assert [bool(each.html) for each in made] == [True, False, True]
    assert made[1].fault == "job-1.yaml: OSError: its process was killed"


def test_dasks_client_serves_as_an_executor_where_it_is_installed(surveys: list[Path]) -> None:
    distributed = pytest.importorskip("distributed")
    firm = listel.Firm(installed=False)
    with distributed.Client(processes=False, n_workers=1, dashboard_address=None) as client:
        made = listel.examine_many(surveys[:3], client.get_executor(), firm)
        assert hashes(made) == hashes(listel.examine_many(surveys[:3], firm=firm))

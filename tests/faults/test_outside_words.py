"""What a firm's templates, dress and house rules may reach and print, and what a rule of theirs may cost."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from listel.core.host.firm import Firm
from listel.core.host.outcome import Outcome
from listel.core.survey.faults import InputFault
from listel.core.survey.job import Job
from listel.core.survey.messages import SurveyFaults
from listel.core.survey.reading import job_from_text
from listel.reports.statement import composed, render

SURVEY = """\
listel: 1
job: {title: T}
rooms: [{name: Hall, height: 2700, walls: [{name: A, length: 3000, substrate: {kind: lime-on-lath}}]}]
trim: [{name: skirting, member: skirting, where: [{room: Hall}], section: {height: 120, projection: 20}}]
"""
HEAD = "listel-house: 1\nfirm: Oak & Ash\n"
SECTION = HEAD + "sections: [{name: ours, title: Ours, place: 900, template: %s}]\n"


@pytest.fixture(scope="module")
def job() -> Job:
    return job_from_text(SURVEY)


@pytest.fixture(scope="module")
def outcome(job: Job) -> Outcome:
    return Firm(installed=False).examine(job)


@pytest.fixture
def house(tmp_path: Path) -> Callable[[str], Firm]:
    def firm(text: str) -> Firm:
        path = tmp_path / "house.yaml"
        path.write_text(text, encoding="utf-8")
        return Firm(house=path, installed=False)

    return firm


SECRET = "a secret of the machine"


@pytest.fixture
def outside(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("elsewhere") / "secret"
    path.write_text(SECRET, "utf-8")
    return path


def test_a_template_of_a_house_file_lies_beside_it(house, tmp_path: Path, outside: Path) -> None:
    (tmp_path / "link.html.j2").symlink_to(outside)
    (tmp_path / "folder").symlink_to(outside.parent)
    for template in (outside, f"../{outside.parent.name}/{outside.name}", "link.html.j2", "folder/secret"):
        with pytest.raises(SurveyFaults, match=r"house\.yaml:3:\d+: .*leads out of the house file's folder"):
            house(SECTION % template)


@pytest.mark.parametrize("name", ["title.html.j2", "heights.html.j2", "statement.css", "logo.svg"])
def test_what_a_dress_holds_lies_in_its_folder(outcome: Outcome, tmp_path: Path, outside: Path, name: str) -> None:
    (tmp_path / name).symlink_to(outside)
    with pytest.raises(InputFault, match="leads out of the dress"):
        render(outcome, dress=tmp_path)


FOREIGN = {
    "a script": "<script>document.title = 'mine'</script>",
    "an address": '<img src="http://example.org/x.png">',
    "a file": '<img src="file:///etc/passwd">',
    "a frame": '<iframe src="data:text/html,x"></iframe>',
    "a page to go to": '<meta http-equiv="refresh" content="0; url=http://example.org">',
    "a deed": '<p onclick="alert(1)">a</p>',
    "a link out": '<p><a href="https://example.org">a</a></p>',
    "a script to follow": '<p><a href="javascript:alert(1)">a</a></p>',
    "a style": '<p style="background: url(http://example.org)">a</p>',
    "a style sheet": "<style>@import 'http://example.org';</style>",
    "a drawing with a script": '<svg width="1mm" height="1mm"><desc>a</desc><script>alert(1)</script></svg>',
    "a form": '<form action="http://example.org"></form>',
}


@pytest.mark.parametrize("way", FOREIGN)
def test_no_template_of_others_puts_more_than_the_subset_into_the_page(house, job, outcome, tmp_path, way) -> None:
    (tmp_path / "own.html.j2").write_text(FOREIGN[way], "utf-8")
    with pytest.raises(InputFault, match=r"own\.html\.j2"):
        composed(house(SECTION % "own.html.j2").examine(job))
    (tmp_path / "own.html.j2").rename(tmp_path / "title.html.j2")
    with pytest.raises(InputFault, match=r"title\.html\.j2"):
        render(outcome, dress=tmp_path)


@pytest.mark.parametrize("name", ["sheet", "job", "outcome", "findings", "job.rooms", "result('RailHeights')"])
def test_an_object_cannot_be_printed(outcome: Outcome, tmp_path: Path, name: str) -> None:
    (tmp_path / "heights.html.j2").write_text(f"<p>{{{{ {name} }}}}</p>", "utf-8")
    with pytest.raises(InputFault, match=r"heights\.html\.j2:1: .* cannot be printed"):
        render(outcome, dress=tmp_path)


def test_all_rules_of_a_firm_have_one_limit_together(house, monkeypatch: pytest.MonkeyPatch) -> None:
    """A pattern that never ends, in three rules that set: all of them together have the time of one."""
    monkeypatch.setattr("listel.core.host.outsiders.STAGE_SECONDS", 0.5)
    monkeypatch.setattr("listel.core.house.schema.MOST_SECONDS", 0.2)
    rules = "".join(
        f"  - {{name: slow-{number}, about: fixing, applies: {{properties: {{wall: {{pattern: '^(A|A)*b$'}}}}}}, "
        f"set: {{most_spacing: {300 + number}}}}}\n"
        for number in range(3)
    )
    firm = house(HEAD + "rules:\n" + rules)
    job = job_from_text(SURVEY.replace("name: A,", f"name: {40 * 'A'},"))
    faults = [entry.fault for entry in firm.examine(job).ran if entry.stage.startswith("house ")]
    assert ["those before it took them" in fault for fault in faults] == [False, True, True]
    assert "did not end within" in faults[0]


def test_a_rule_that_leads_back_to_itself_is_told_at_its_place(house) -> None:
    with pytest.raises(SurveyFaults, match=r"house\.yaml:4:36: .* leads back to itself without end"):
        house(HEAD + "rules:\n  - {name: a, about: fixing, must: {allOf: [{anyOf: [{$ref: '#'}]}]}}\n")


def test_a_part_that_a_rule_points_to_does_not_fail_the_others(house, job: Job) -> None:
    firm = house(
        HEAD
        + """\
rules:
  - name: nowhere
    about: fixing
    applies: {properties: {room: {$ref: '#/$defs/attic'}}, $defs: {attic: {const: Attic}}}
    says: The attic.
  - {name: always, about: fixing, says: "Fixed in {{ room }}."}
"""
    )
    told = [finding for finding in firm.examine(job).findings if finding.rule.startswith(("oak-ash/", "engine/"))]
    assert {finding.rule for finding in told} == {"oak-ash/always"}
    assert "Fixed in Hall." in {finding.says for finding in told}


@pytest.mark.parametrize(
    ("part", "says"),
    [
        ("pattern: '" + "(" * 5000 + "'", "no pattern"),
        ("pattern: '" + "(" * 5000 + ")" * 5000 + "'", "no pattern"),
        ("pattern: 'x{99999999999}'", "no pattern"),
        ("pattern: '(?P<a>x)(?P<a>y)'", "no pattern"),
        ("not: " + "{not: " * 30 + "{}" + "}" * 30, ""),
        ("$ref: '#/$defs/gone'", "leads nowhere"),
        ("unevaluatedProperties: {$ref: 'file:///etc/passwd'}", "leaves the rule"),
    ],
    ids=["brackets", "brackets closed", "repeats", "names", "nots", "gone", "elsewhere"],
)
def test_a_pattern_or_nesting_of_a_house_file_is_told_at_its_place(house, job: Job, part: str, says: str) -> None:
    try:
        outcome = house(
            f"{HEAD}rules:\n  - {{name: a, about: fixing, must: {{properties: {{wall: {{{part}}}}}}}}}\n"
        ).examine(job)
    except SurveyFaults as faults:
        assert all(fault.line == 4 and fault.column > 1 for fault in faults.faults)
        assert says in str(faults)
    else:
        assert not says and outcome.findings

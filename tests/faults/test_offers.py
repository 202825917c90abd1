"""What plugins and house files offer and declare: what cannot stand is told, and costs no more than itself."""

from __future__ import annotations

import json
from dataclasses import fields
from pathlib import Path

import pytest

from listel.core.contract.cases import firm_of_cases, judge, read_cases
from listel.core.contract.findings import Weight
from listel.core.contract.firms import FirmHeights, HeightRule, OptionsForm, SurveyFields
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule
from listel.core.contract.stage import Section, Stage, Step, Words
from listel.core.contract.tables import Table
from listel.core.host.answers import _hints
from listel.core.host.firm import Firm
from listel.core.host.outcome import Outcome
from listel.core.survey.faults import InputFault
from listel.core.survey.job import Job
from listel.core.survey.reading import job_from_text

SURVEY = """\
listel: 1
job: {title: T}
rooms: [{name: Hall, height: 2900, walls: [{name: A, length: 3000}]}]
trim:
  - name: dado
    member: dado-rail
    where: [{room: Hall}]
    section: {height: 63, projection: 25}
"""

HEAD = """
from pathlib import Path
from listel import *
LISTEL_API = 1
def hook(name, *answers):
    def call():
        return list(answers)
    call.__name__ = name
    globals()[name] = hookimpl(call)
def offer(**said):
    return HeightOffer(**{"room": "Hall", "member": "dado-rail", "says": "ours", **said})
def rule(name, **said):
    return HeightRule(name, lambda job: [offer(**said)])
def stage(*items):
    hook("listel_stages", Stage("own", lambda job, sheet: list(items)))
def declared(name, **said):
    return Rule(name=name, weights=("hold", "caution"), when="it is so at times", why="it matters much", **said)
"""


@pytest.fixture(scope="module")
def job() -> Job:
    return job_from_text(SURVEY)


def examined(folder: Path, job: Job, text: str, *house: str) -> Outcome:
    folder.mkdir(exist_ok=True)
    (folder / "own.py").write_text(HEAD + text + "\n", encoding="utf-8")
    files = [folder / f"house{number}.yaml" for number in range(len(house))]
    for number, (path, held) in enumerate(zip(files, house, strict=True)):
        path.write_text(f"listel-house: 1\nfirm: Firm {'ABC'[number]}\n{held}", encoding="utf-8")
    return Firm(plugins=[folder / "own.py"] if text else [], house=files, installed=False).examine(job)


def faults(outcome: Outcome) -> list[str]:
    return [f.says for f in outcome.holds if f.rule.startswith("engine/")]


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ("top=float('nan')", "top of HeightOffer is nan, which is no number"),
        ("top=9000.0", "it offers 9000 mm for the dado rail, and the room is 2900 mm high"),
        ("top=-40.0", "it offers -40 mm for the dado rail, which is not above the floor"),
        ("share=1.7", "1.7 is no share of a height"),
        ("share=0.0", "0 is no share of a height"),
        ("", "either a top or a share"),
        ("top=900.0, share=0.3", "either a top or a share"),
        ("room='Attic', top=900.0", "there is no room Attic"),
    ],
)
def test_what_can_be_no_height_is_told_and_fells_no_stage_of_ours(
    said: str, says: str, tmp_path: Path, job: Job
) -> None:
    outcome = examined(tmp_path, job, f"hook('listel_heights', rule('bad', {said}), rule('good', top=900.0))")
    (told,) = faults(outcome)
    assert "The plugin own" in told and "heights bad" in told and says in told
    assert [offer.top for offer in outcome.sheet[FirmHeights].offers] == [900.0]
    assert not any(entry.fault for entry in outcome.ran)


def test_of_two_heights_that_differ_neither_stands_and_a_hold_names_both(tmp_path: Path, job: Job) -> None:
    one, other = "rule('zz-h', top=900.0)", "rule('zz-i', share=0.4)"
    for folder, pair in (("a", f"{one}, {other}"), ("b", f"{other}, {one}")):
        outcome = examined(tmp_path / folder, job, f"hook('listel_heights', {pair})")
        (hold,) = (f for f in outcome.holds if f.rule == "engine/amended-otherwise")
        assert "own: zz-h gives it 900 mm" in hold.says and "own: zz-i gives it 0.4 of the room's height" in hold.says
        assert hold.where.room == "Hall"
        assert outcome.sheet[FirmHeights].offers == ()
    same = examined(tmp_path / "c", job, "hook('listel_heights', rule('zz-h', top=900.0), rule('zz-i', top=900.0))")
    assert faults(same) == []


def height(name: str, said: str) -> str:
    return f"  - {{name: {name}, member: dado-rail, {said}, says: ours}}\n"


def test_heights_of_house_files_are_held_to_the_same(tmp_path: Path, job: Job) -> None:
    split = examined(tmp_path, job, "", "heights:\n" + height("one", "top: 870") + height("two", "share: 3/8"))
    assert any("firm-a: one" in says and "firm-a: two" in says for says in faults(split))
    (high,) = faults(examined(tmp_path, job, "", "heights:\n" + height("one", "top: 9 m")))
    assert "heights one" in high and "9000 mm" in high and "2900 mm high" in high


def test_a_section_that_cannot_be_made_is_a_hold_in_the_outcome_itself(tmp_path: Path, job: Job) -> None:
    (tmp_path / "own.html.j2").write_text("{{ nonesuch.foo }}", encoding="utf-8")
    section = "Section('own', 'Own', 410, Path(__file__).with_name('own.html.j2'), ('client',))"
    outcome = examined(tmp_path, job, f"hook('listel_sections', {section})")
    told = json.loads(json.dumps(outcome.to_json()))
    assert not told["fit_for_issue"]
    assert "engine/section-failed" in {finding["rule"] for finding in told["findings"]}


def test_a_plugin_declares_no_rule_of_another(tmp_path: Path, job: Job) -> None:
    outcome = examined(
        tmp_path, job, "hook('listel_rules', declared('safety/asbestos', departs=True), declared('own/y'))"
    )
    assert any("safety/asbestos is left out" in says and "own/..." in says for says in faults(outcome))
    assert outcome.rules["safety/asbestos"].protects and "own/y" in outcome.rules
    house = tmp_path / "light.yaml"
    weights = "weights: [{rule: safety/asbestos, weight: advice, why: so}]"
    house.write_text(f"listel-house: 1\nfirm: F\n{weights}\n", encoding="utf-8")
    with pytest.raises(InputFault, match="protects people, and no firm makes it lighter"):
        Firm(plugins=[tmp_path / "own.py"], house=[house], installed=False)


@pytest.mark.parametrize(
    ("rules", "told", "says"),
    [
        ("", "Finding('safety/asbestos', 'hold', 'Ours.')", "it tells safety/asbestos, which its listel_rules"),
        ("", "Finding('own/y', 'hold', 'Ours.')", "it tells own/y, which its listel_rules does not declare"),
        ("own/y", "Finding('own/y', 'hold', 'Ours.', Where('Cellar'))", "in the room Cellar, and the survey has none"),
        ("own/y", "Finding('own/y', 'hold', 'Ours.', Where('Hall', 'Q'))", "at the wall Q, and the Hall has none"),
        ("own/y", "Finding('own/y', 'hold', 'Ours.', Where('Hall', 'A'))", ""),
    ],
)
def test_a_plugin_tells_only_what_it_declares_and_where_the_survey_goes(
    rules: str, told: str, says: str, tmp_path: Path, job: Job
) -> None:
    hook = f"hook('listel_rules', declared('{rules}'))" if rules else ""
    outcome = examined(tmp_path, job, f"{hook}\nstage({told})")
    assert [says in each for each in faults(outcome)] == ([True] if says else [])
    assert any(f.says == "Ours." for f in outcome.findings) is not bool(says)


def test_a_rule_that_nobody_can_lift_is_told(tmp_path: Path, job: Job) -> None:
    text = """
from listel.core.contract.lift import Lift
lift = Lift(step="own-look", outcomes={"clear": ("wall-looker",)})
hook("listel_rules", declared("own/back", protects=True, departs=False, lifted_by=lift))
"""
    (told,) = faults(examined(tmp_path, job, text))
    assert "its rule own/back can be lifted by nobody: there is no competence wall-looker" in told


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ("hours=lambda job, sheet: -5.0", "it returned -5; hours are from 0 to less than 1,000,000"),
        ("hours=lambda job, sheet: float('nan')", "it returned nan; hours are from 0"),
        ("hours=lambda job, sheet: 'long'", "it returned a str; it is a number of hours"),
        ("wait=lambda job, sheet: (float('inf'), 'x')", "it returned inf; hours are from 0"),
        ("wait=lambda job, sheet: 48.0", "it returned a float; it is the hours and what they are for"),
    ],
)
def test_a_step_that_answers_what_it_may_not_is_told_what_is_wrong(
    said: str, says: str, tmp_path: Path, job: Job
) -> None:
    outcome = examined(tmp_path, job, f"hook('listel_steps', Step('own', 'Own', lambda job, sheet: 'so', {said}))")
    assert any(says in told for told in faults(outcome))


@pytest.mark.parametrize(("given", "says"), [("None", "it returned nothing: a yield or a return"), ("42", "an int;")])
def test_a_stage_that_gives_no_list_is_told_so(given: str, says: str, tmp_path: Path, job: Job) -> None:
    outcome = examined(tmp_path, job, f"hook('listel_stages', Stage('own', lambda job, sheet: {given}))")
    assert any(says in told and "a stage yields its findings and results" in told for told in faults(outcome))


def test_what_is_wrong_in_an_answer_of_a_hook_costs_that_alone(tmp_path: Path, job: Job) -> None:
    text = "hook('listel_heights', HeightRule('zz', 42), rule('good', top=900.0))"
    outcome = examined(tmp_path, job, text)
    assert any("listel_heights, HeightRule zz: offers of HeightRule" in told for told in faults(outcome))
    assert [offer.top for offer in outcome.sheet[FirmHeights].offers] == [900.0]


def test_a_table_that_nobody_reads_is_told(tmp_path: Path, job: Job) -> None:
    (told,) = faults(examined(tmp_path, job, "hook('listel_tables', Table('timber', 'ours', ()))"))
    assert "its table timber is left out" in told and "Did you mean timbers?" in told


def test_what_was_not_surveyed_is_told_with_a_weight_that_the_rule_declares() -> None:
    said = {"when": "it is so", "why": "it matters"}
    weights: tuple[tuple[Weight, ...], ...] = (("advice",), ("hold", "caution"), ("hold", "advice"))
    rules = [Rule(name="own/lacking", weights=each, **said) for each in weights]
    assert [rule.lacking("the turn", "what goes in").weight for rule in rules] == ["advice", "caution", "hold"]


RESULTS = """
from dataclasses import dataclass
class Plain: pass
@dataclass
class Loose:
    lines: tuple[int, ...] = ()
@dataclass(frozen=True)
class Line:
    long: float
@dataclass(frozen=True)
class Result:
    lines: tuple[Line, ...] = ()
hook("listel_stages", *(Stage(k.__name__, lambda job, sheet, g=g: [g], gives=(k,))
     for k, g in ((Plain, Plain()), (Loose, Loose()), (Result, Result((Line(1.0), Line("x")))))))
"""


def test_a_result_of_another_form_is_told_in_words(tmp_path: Path, job: Job) -> None:
    told = "\n".join(faults(examined(tmp_path, job, RESULTS)))
    for each in ("Plain", "Loose"):
        assert f"Stage {each}: it gives {each}; a result is a frozen dataclass" in told
    assert "Stage Result" not in told and "lines of Result holds a Line: long of Line is a str, not a number" in told


def test_a_contract_number_is_a_number(tmp_path: Path, job: Job) -> None:
    text = "LISTEL_API = True\nhook('listel_heights', rule('good', top=900.0))"
    assert any("made for number True" in told for told in faults(examined(tmp_path, job, text)))


def test_a_note_without_words_says_that_it_applies(tmp_path: Path, job: Job) -> None:
    note = "rules: [{name: waste, about: height, must: false, weight: record}]"
    outcome = examined(tmp_path, job, "", note)
    (told,) = (f.says for f in outcome.findings if f.rule == "firm-a/waste")
    assert told == "The house rule waste of Firm A applies to this height."


def test_a_number_in_quotes_is_told_to_stand_without(tmp_path: Path, job: Job) -> None:
    rules = "rules: [{name: a, about: height, must: {properties: {top: {maximum: '60'}}}}]"
    with pytest.raises(InputFault, match="write 60, without quotes"):
        examined(tmp_path, job, "", rules)


WRONG = """\
about: ours
sources:
  own: {title: Our own, standing: house-rule}
rules:
  back:
    weights: [hold]
    when: nobody has looked behind
    why: what is there is not known
    SAYS
"""


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("lifted-by: [{step: look, outcomes: {clear: [joiner]}}]", r"rules.yaml:9:\d+: .*lifted-by"),
        ("source: nobody", r"rules.yaml:9:\d+: .*there is no source nobody"),
        (
            "for-client: {says: 'Nobody looked into {room}.', needs: Somebody looks.}",
            r"rules.yaml:9:\d+: .*\{room\} is no",
        ),
        ("lifts-by: {}", r"rules.yaml:9:\d+: .*lifts-by"),
    ],
)
def test_rules_of_a_plugin_are_judged_at_their_line(
    said: str, told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from listel.core.contract.rules import load_rules

    package = f"own_{abs(hash(said))}"
    (tmp_path / package).mkdir()
    (tmp_path / package / "__init__.py").touch()
    (tmp_path / package / "rules.yaml").write_text(WRONG.replace("SAYS", said), encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(InputFault, match=told):
        load_rules(package)


def test_what_several_hooks_fail_with_is_told_once(tmp_path: Path, job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "own_told_once").mkdir()
    (tmp_path / "own_told_once" / "__init__.py").touch()
    text = WRONG.replace("SAYS", "lifts-by: {}").replace("when:", "wen:")
    (tmp_path / "own_told_once" / "rules.yaml").write_text(text, encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    code = """
def rules():
    return list(load_rules("own_told_once"))
@hookimpl
def listel_rules(): return rules()
@hookimpl
def listel_steps(): return rules()
@hookimpl
def listel_stages(): return rules()
"""
    told = faults(examined(tmp_path, job, code))
    assert len(told) == 2 and len(set(told)) == 2
    assert all("listel_stages, listel_steps, listel_rules failed: " in each for each in told)
    assert all(any(word in each for each in told) for word in ("rules.yaml:9:5: ", "rules.yaml:7:5: "))


CASES = """\
listel-cases: 1
survey: SURVEY
rules:
  heights/height-chosen:
    - {told: record}
    - {told: warning}
    - {tolled: advice, set: {trim: 3}}
    - {told: advice, set: {rooms.Hal.height: 3}}
    - {told: advice, remove: [rooms.Hall.use]}
    - {told: advice, set: {rooms.Hall.walls.A.lenght: 3}}
    - {told: advice, survey: nowhere}
  heights/height-chsen:
    - {told: nothing}
"""


def test_every_case_that_cannot_be_judged_says_why_and_the_others_are(tmp_path: Path) -> None:
    (tmp_path / "hall.yaml").write_text(SURVEY, encoding="utf-8")
    path = tmp_path / "cases.yaml"
    path.write_text(CASES.replace("SURVEY", "hall.yaml"), encoding="utf-8")
    firm = firm_of_cases(path)
    told = [(case.number, case.line, judge(case, firm)) for case in read_cases(path)]
    for (number, line, says), wanted in zip(
        told,
        [
            "",
            "told: warning is not known here. It may be hold, ",
            "tolled: this key is not known here. Did you mean told?",
            "the base survey has no Hal in rooms.Hal.height. Did you mean Hall?",
            "the base survey has no rooms.Hall.use",
            "rooms > Hall > walls > A > lenght: ",
            "there is no survey nowhere",
            "there is no rule heights/height-chsen. Did you mean heights/height-chosen?",
        ],
        strict=True,
    ):
        assert says.startswith(wanted) and bool(says) == bool(wanted), says
        assert line == 4 + number or (number, line) == (1, 13)


def test_a_file_of_cases_of_another_form_is_told_whole(tmp_path: Path) -> None:
    path = tmp_path / "cases.yaml"
    path.write_text("listel-cases: 1\nsurvay: one-wall\nrules: {a/b: [{told: x}]}\n", encoding="utf-8")
    with pytest.raises(InputFault, match=r"cases.yaml:2:1: .*Did you mean survey.*\n.*cases.yaml:3:"):
        read_cases(path)


@pytest.mark.parametrize(
    "kind", [Stage, Reckoner, Step, Section, Words, SurveyFields, OptionsForm, HeightRule, Rule, Table]
)
def test_each_field_of_what_a_firm_answers_is_judged_by_its_type(kind: type) -> None:
    """A type that names what its module does not hold would be judged by nothing."""
    assert [field.name for field in fields(kind)] == list(_hints(kind))

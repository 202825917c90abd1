"""Records and departures of a survey: what lifts a hold, what each lacks, and every slip at its line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from listel.core.commands.cli import main
from listel.core.host.engine import examine
from listel.core.host.firm import Firm
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.survey.data import survey_data
from listel.core.survey.messages import SurveyFaults
from listel.core.survey.reading import job_from_text

SURVEY = """\
listel: 1
job: {title: A house, surveyed: 2026-03-09}
building: {built: 1890, region: england, protection: listed-grade-2}
rooms: [{name: Hall, walls: [{name: A, length: 3000}, {name: B, length: 3000}]}]
trim: [{name: skirting, member: skirting, where: [{room: Hall}]}]
work: {start: 2026-04-20}
"""


def outcome_of(*lines: str) -> Outcome:
    return outcome_from(SURVEY + "\n".join(lines) + "\n")


def outcome_from(text: str) -> Outcome:
    return examine(job_from_text(text, "house.yaml"), load(entry_points=False))


def test_a_record_of_several_rooms_is_one_of_each_and_written_back_as_it_was() -> None:
    record = "step: asbestos-check, outcome: clear, by: X, as: asbestos-surveyor, on: 2026-03-12, reference: r7"
    one = f"  - {{{record}, kind: refurbishment, room: Hall}}\n"
    two = SURVEY.replace("rooms: [", "rooms: [{name: Parlour, walls: [{name: A, length: 3000}]}, ").replace(
        "where: [{room: Hall}]", "where: [{room: Hall}, {room: Parlour}]"
    )
    both = f"{two}records:\n{one.replace('room: Hall', 'room: [Hall, Parlour]')}"
    job = job_from_text(both + one)
    assert [(each.room, each.path) for each in job.records] == [
        ("Hall", "records/0"),
        ("Parlour", "records/0"),
        ("Hall", "records/1"),
    ]
    assert [each["room"] for each in survey_data(job)["records"]] == [["Hall", "Parlour"], "Hall"]
    assert job_from_text(json.dumps(survey_data(job))) == job
    for text, held in ((f"{two}records:\n{one}", True), (both, False)):
        assert any(hold.rule == "safety/asbestos" for hold in outcome_from(text).holds) is held
    for wrong, says in ((", Parlor]", "no room called Parlor"), (", Parlour], wall: A", "a wall is one room's")):
        with pytest.raises(SurveyFaults, match=says):
            job_from_text(both.replace(", Parlour]", wrong))
    slip = both.replace("outcome: clear", "outcome: done")
    with pytest.raises(SurveyFaults) as told:
        Firm().read_text(slip, "house.yaml")
    assert str(told.value).count("done is no outcome of asbestos-check") == 1


def asbestos(record: str) -> str:
    """How the finding on asbestos stands with one record more."""
    findings = outcome_of("records:", f"  - {{step: asbestos-check, by: X, on: 2026-03-12, {record}}}").findings
    (found,) = [finding for finding in findings if finding.rule == "safety/asbestos"]
    return f"{found.weight}: {found.says}"


@pytest.mark.parametrize(
    ("record", "weight", "says"),
    [
        ("outcome: found, as: asbestos-surveyor, says: board behind the skirting", "hold", "It was found"),
        (
            "outcome: clear, as: asbestos-surveyor, kind: refurbishment, reference: r7, room: Hall",
            "record",
            "reference r7",
        ),
        ("outcome: clear, as: asbestos-surveyor, kind: refurbishment, reference: r7", "hold", "names no room"),
        ("outcome: clear, as: joiner, reference: r7", "hold", "is said by a joiner, and the rule asks for a competent"),
        ("outcome: clear, reference: r7, says: all is well", "hold", "names no competence"),
        ("outcome: clear, as: asbestos-surveyor", "hold", "has no reference"),
        ("outcome: removed, as: asbestos-surveyor, reference: r7", "hold", "contractor licensed to remove"),
        (
            "outcome: clear, as: asbestos-surveyor, kind: refurbishment, reference: r7, room: Hall, wall: A",
            "hold",
            "not on wall B of Hall",
        ),
    ],
)
def test_what_a_record_lifts_and_what_it_lacks(record: str, weight: str, says: str) -> None:
    told = asbestos(record)
    assert told.startswith(f"{weight}: ")
    assert says in told
    assert (weight == "hold") is ("Local codes and licensed practice come first." in told)


def test_a_finding_says_the_same_wherever_its_record_stands_in_the_file() -> None:
    """A revision would tell it as changed, where a line was written above it."""
    record = "  - {step: asbestos-check, outcome: clear, by: X, on: 2026-03-12}"
    said = [
        [finding.says for finding in outcome_of(*above, record).findings] for above in (["records:"], ["#", "records:"])
    ]
    assert said[0] == said[1]
    assert any("The record by X on 2026-03-12 (the whole job) does not lift it" in says for says in said[0])


@pytest.mark.parametrize(
    ("start", "day", "said"),
    [("", "2026-03-12", True), ("", "2026-03-09", False), ("2026-04-20", "2026-03-12", False)],
)
def test_a_record_that_no_start_of_work_bounds_says_so(start: str, day: str, said: bool) -> None:
    record = f"step: asbestos-check, outcome: clear, by: X, as: accredited-analyst, on: {day}, reference: r, room: Hall"
    survey = SURVEY.replace("work: {start: 2026-04-20}", f"work: {{start: {start}}}" if start else "")
    made = examine(job_from_text(f"{survey}records: [{{{record}}}]\n", "house.yaml"), load(entry_points=False))
    (found,) = [finding for finding in made.findings if finding.rule == "safety/asbestos"]
    assert found.weight == "record" and ("tells no start" in found.says) is said


@pytest.mark.parametrize(
    ("key", "item", "at", "says"),
    [
        ("records", "step: asbestos-check, outcome: fine, by: X", "fine", "It may be clear, found, removed"),
        (
            "records",
            "step: asbestos-check, outcome: refused, by: X",
            "refused",
            "write clear, found, removed, sealed or by-plan",
        ),
        (
            "records",
            "step: consent, outcome: clear, by: X",
            "clear",
            "write applied-for, granted, refused or not-needed",
        ),
        ("records", "step: read-moisture, outcome: clear, by: X", "clear", "write done"),
        (
            "records",
            "step: deal-with-asbestos, outcome: done, by: X",
            "deal-with-asbestos",
            "told by that of asbestos-check: records, step asbestos-check, outcome removed by",
        ),
        (
            "records",
            "step: gas-check, outcome: clear, by: X, as: lead-inspector",
            "lead-i",
            "no competence of england. It",
        ),
        ("records", "step: lead-check, outcome: clear, by: X, as: wizard", "wizard", "not known here"),
        ("records", "step: lead-check, outcome: dealt-with, by: X, as: joiner", "dealt", "reference is missing"),
        ("records", "step: consent, outcome: granted, by: X, reference: r", "granted", "on is missing"),
        ("records", "step: gas-check, outcome: clear, by: nobody", "nobody", "write who it is by"),
        ("records", "step: gas-check, outcome: clear, by: X, reference: tbc", "tbc", "names no paper"),
        ("records", "step: gas-check, outcome: clear, by: X, reference: Applied for", "Applied", "names no paper"),
        ("records", "step: lead-check, outcome: clear, by: X, on: 2026-02-30", "2026", "write a day as 2026-03-14"),
        (
            "records",
            "step: s, found: none, by: X, date: 2026-03-12",
            "{",
            "outcome: ..., by: X, as: ..., on: 2026-03-12",
        ),
        (
            "departures",
            "rule: safety/consent, reason: we want to, agreed: X",
            "safety",
            "step consent, outcome granted",
        ),
        ("departures", "rule: fixings/overloaded, reason: we want to, agreed: X", "fix", "settled by fixings closer"),
        ("departures", "rule: heights/low, reason: we want to, agreed: nobody", "nobody", "write who agreed"),
    ],
)
def test_every_slip_is_told_at_its_line_with_the_choices(key: str, item: str, at: str, says: str) -> None:
    line = f"  - {{{item}}}"
    with pytest.raises(SurveyFaults) as told:
        outcome_of(f"{key}:", line)
    (fault,) = told.value.faults
    assert (fault.line, fault.column) == (8, line.index(at) + 1)
    assert says in fault.says


@pytest.mark.parametrize(("other", "told"), [("X", True), ("x ", True), ("Y", False)])
def test_one_name_under_two_competences_that_protect_is_told(other: str, told: bool) -> None:
    papers = "outcome: clear, on: 2026-03-12, reference: r7, room: Hall"
    findings = outcome_of(
        "records:",
        f"  - {{step: lead-check, by: X, as: lead-tester, {papers}}}",
        f"  - {{step: detect-services, by: '{other}', as: electrician, {papers}}}",
    ).findings
    assert ("engine/one-voice" in {finding.rule for finding in findings}) is told


def test_works_before_the_building_was_built_are_a_fault() -> None:
    with pytest.raises(SurveyFaults, match="works of 1872 on a building of 1890"):
        job_from_text(SURVEY.replace("built: 1890", "built: 1890, refurbished: [1972, 1872]"), "house.yaml")


@pytest.mark.parametrize(("outcome", "weight"), [("clear", "advice"), ("found", "hold"), ("refused", "hold")])
def test_a_record_of_a_step_that_nobody_offers_is_told_and_holds_where_something_was_found(outcome, weight) -> None:
    findings = outcome_of(f"records: [{{step: asbestos-chek, outcome: {outcome}, by: X}}]").findings
    (told,) = [finding for finding in findings if finding.rule == "engine/record-unused"]
    assert told.weight == weight and "asbestos-check" in told.says


def test_slips_of_form_and_slips_beside_the_rules_are_told_in_one_round() -> None:
    survey = SURVEY + "\n".join(
        (
            "records:",
            "  - {step: asbestos-check, by: X, on: 2026-03-11, as: joiner, found: amosite board}",
            "  - {step: gas-check, outcome: clear, by: X, as: lead-inspector}",
            "departures: [{rule: safety/consent, reason: we want to, agreed: nobody}]",
            "trim: 5",
        )
    )
    with pytest.raises(SurveyFaults) as told:
        Firm(installed=False).read_text(survey, "house.yaml")
    said = [(fault.line, fault.says) for fault in told.value.faults]
    for line, says in (
        (8, "by: X, as: joiner, on: 2026-03-11, reference: ..., says: amosite board}"),
        (9, "no competence of england"),
        (10, "step consent, outcome granted"),
        (10, "agreed by somebody"),
        (11, "stands here again"),
    ):
        assert any(at == line and says in words for at, words in said), (line, says, said)


def test_a_consent_told_under_the_building_is_shown_as_a_record() -> None:
    with pytest.raises(SurveyFaults, match=r"granted, applied-for or refused.*step: consent.*reference: LBC 7"):
        job_from_text(SURVEY.replace("built: 1890", "built: 1890, consent: LBC 7"), "house.yaml")


def test_a_step_is_done_only_where_a_record_of_it_counts() -> None:
    from listel.plugins.sequence import Sequence

    def done(record: str) -> bool:
        steps = outcome_of("records:", f"  - {{step: asbestos-check, by: X, {record}}}").sheet[Sequence].steps
        return next(step.done for step in steps if step.name == "asbestos-check")

    assert done("outcome: clear, as: asbestos-surveyor, kind: demolition, room: Hall, on: 2026-03-12, reference: r7")
    assert not done("outcome: clear, as: joiner, on: 2026-03-12, reference: r7")
    assert not done("outcome: found, as: asbestos-surveyor, on: 2026-03-12, reference: r7")


def test_what_is_found_brings_the_steps_that_follow() -> None:
    from listel.plugins.sequence import Sequence

    record = "{step: asbestos-check, outcome: found, by: X, on: 2026-03-12}"
    said = "step: asbestos-check, by: R, on: 2026-03-20, reference: l3"
    removed = f"{{{said}, outcome: removed, as: licensed-remover, room: Hall}}"
    cleared = f"{{{said}, outcome: clear, as: accredited-analyst, room: Hall}}"
    at = record.replace("by: X", "by: X, room: Hall")
    for records, follows in (([record], True), ([at, removed], True), ([at, removed, cleared], False)):
        names = [step.name for step in outcome_of(f"records: [{', '.join(records)}]").sheet[Sequence].steps]
        assert ("deal-with-asbestos" in names) is follows


@pytest.mark.parametrize(
    ("step", "outcome", "stops"), [("consent", "refused", "set-out"), ("asbestos-check", "found", "fix")]
)
def test_what_a_record_alone_tells_bars_the_work_where_no_rule_asked_for_the_step(step, outcome, stops) -> None:
    from listel.plugins.sequence import Sequence

    new = SURVEY.replace("built: 1890, region: england, protection: listed-grade-2", "built: 2015, protection: none")
    assert new != SURVEY
    job = job_from_text(f"{new}records: [{{step: {step}, outcome: {outcome}, by: X}}]\n", "house.yaml")
    made = examine(job, load(entry_points=False))
    sequence = made.sheet[Sequence]
    barred = {each.name: each.barred for each in sequence.steps}
    assert not made.fit_for_issue
    assert step in sequence.meanwhile and barred[stops] and stops not in sequence.meanwhile
    assert {*sequence.meanwhile} <= {step, "deal-with-asbestos"}


def test_after_a_find_no_work_goes_on_in_its_room_but_what_settles_it() -> None:
    from listel.plugins.sequence import Sequence

    other = "\n       {name: Study, walls: [{name: A, length: 3000}]}"
    two = SURVEY.replace("length: 3000}]}]", f"length: 3000}}]}},{other}]").replace(
        "[{room: Hall}]", "[{room: Hall}, {room: Study}]"
    )

    def told(*records: str) -> tuple[tuple[str, ...], str]:
        text = f"{two}records: [{', '.join(f'{{by: X, on: 2026-03-12, {each}}}' for each in records)}]\n"
        made = outcome_from(text)
        (finding,) = [finding for finding in made.findings if finding.rule == "sequence/earliest-finish"]
        return made.sheet[Sequence].meanwhile, finding.says

    hall, study = ("step: asbestos-check, outcome: found, room: Hall", "step: gas-check, outcome: found, room: Study")
    meanwhile, says = told(hall)
    assert "Meanwhile may go on, but not in the Hall: " in says and "read-moisture" in meanwhile
    meanwhile, says = told(hall, study)
    assert {*meanwhile} == {"consent", "asbestos-check", "gas-check", "deal-with-asbestos"} and "but not" not in says
    sealed = "step: asbestos-check, outcome: sealed, as: licensed-remover, reference: l3, room: Hall"
    assert "but not" not in told(sealed)[1]


@pytest.mark.parametrize(
    ("record", "lacks"),
    [
        ("as: joiner, reference: permit 4, room: Hall", "is said by a joiner, and the rule asks for the person named"),
        ("as: fire-warden, room: Hall", "has no reference"),
        ("as: fire-warden, reference: permit 4", "names no room"),
        ("as: fire-warden, reference: permit 4, room: Hall", ""),
    ],
)
@pytest.mark.parametrize("step", ["hot-work-permit", "fire-watch"])
def test_hot_work_is_permitted_and_watched_by_the_word_of_who_may(step: str, record: str, lacks: str) -> None:
    from listel.plugins.sequence import Sequence

    hot = SURVEY.replace("work: {", "work: {strip-paint: true, strip-method: hot-air, ")
    text = f"{hot}records: [{{step: {step}, outcome: done, by: X, on: 2026-04-21, {record}}}]\n"
    made = outcome_from(text)
    told = [finding.says for finding in made.findings if finding.rule == "engine/record-unused"]
    assert next(each.done for each in made.sheet[Sequence].steps if each.name == step) is not bool(lacks)
    assert len(told) == bool(lacks) and all(lacks in says for says in told)


def test_what_is_only_looked_at_does_not_wait_for_consent() -> None:
    from listel.plugins.sequence import Sequence

    old = "floor: [], existing: [{member: skirting, from: 0, to: 1000, state: sound, intent: refix, paint: sound}]"
    text = SURVEY.replace("{name: B, length: 3000}", f"{{name: B, length: 3000, {old}}}")
    needs = {step.name: step.needs for step in outcome_from(text).sheet[Sequence].steps}
    for name in ("detect-services", "paint-record", "record-existing", "asbestos-check", "lead-check"):
        assert "consent" not in needs[name] and all("consent" not in needs[each] for each in needs[name])


def test_a_record_that_does_not_count_is_told_where_no_hold_tells_it() -> None:
    found = outcome_of("records: [{step: paint-record, outcome: done, by: X, on: 2026-03-12, as: joiner}]").findings
    (told,) = [finding for finding in found if finding.rule == "engine/record-unused"]
    assert told.weight == "caution" and "does not count: it is said by a joiner" in told.says
    assert "outcome done by an architect accredited in conservation or a surveyor" in told.mend
    assert not [finding for finding in found if finding.rule == "existing/layers-not-recorded"]


def test_the_command_tells_what_lifts_a_hold_and_who_may_say_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    survey = tmp_path / "house.yaml"
    survey.write_text(SURVEY, "utf-8")
    assert main(["grounds", str(survey), "safety/asbestos"]) == 0
    told = capsys.readouterr().out
    assert "outcome clear, as accredited-analyst (an analyst of a laboratory accredited to ISO 17025)" in told
    assert "as asbestos-surveyor (a competent asbestos surveyor), of the kind refurbishment or demolition" in told
    assert "once it was found only as accredited-analyst, later, and naming that very place" in told
    assert "never by free text, nor by a departure" in told
    assert main(["grounds", str(survey), "safety/gas-pipe"]) == 0
    assert "as gas-engineer (a gas engineer on the statutory register" in capsys.readouterr().out


def test_a_survey_with_a_departure_from_consent_is_refused_by_the_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    survey = tmp_path / "house.yaml"
    survey.write_text(
        SURVEY + "departures: [{rule: safety/consent, reason: we want to, agreed: the client}]\n", "utf-8"
    )
    assert main(["statement", str(survey), "--json"]) == 2
    assert "house.yaml:7:21: " in capsys.readouterr().err


def test_found_keeps_a_statement_from_issue(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    survey = tmp_path / "house.yaml"
    record = "{step: asbestos-check, outcome: found, by: X, as: asbestos-surveyor, on: 2026-03-12, says: board}"
    survey.write_text(f"{SURVEY}records: [{record}]\n", "utf-8")
    assert main(["statement", str(survey), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    held = [each["says"] for each in told["findings"] if each["rule"] == "safety/asbestos" and each["weight"] == "hold"]
    assert not told["fit_for_issue"]
    assert len(held) == 1 and "found" in held[0] and "board" in held[0]

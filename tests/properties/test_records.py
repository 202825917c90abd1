"""Laws of what a record may lift, over every rule that any plugin declares to be lifted by records."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from hypothesis import given
from hypothesis import strategies as st

from listel.core.contract.findings import Finding, Where
from listel.core.contract.lift import Lift
from listel.core.contract.rules import Rule
from listel.core.host.records import LIVED_WITH, Judge, judge_of
from listel.core.host.registry import load
from listel.core.host.slips import slips_of
from listel.core.survey.job import OUTCOMES, Building, Departure, Job, Place, Record, Room, Substrate, Trim, Wall, Work

REGIONS = ("england", "wales", "scotland", "northern-ireland", "ireland", "united-states", "european-union", "other")
WALLS = (("Hall", "A"), ("Hall", "B"), ("Study", "A"))
COATED = ("Hall", "B")
PLUGINS = load(entry_points=False, reckoners=False).plugins
RULES = [rule for plugin in PLUGINS for rule in plugin.rules() if rule.lifted_by]
STEPS = sorted({rule.lifted_by.step for rule in RULES if rule.lifted_by})
DAYS = ("", "2026-03-08", "2026-03-12", "2026-03-13", "2026-04-21")


@cache
def house(region: str) -> Job:
    """Two rooms with trim on every wall, one of them coated, surveyed on 9 March 2026, work to start on 20 April."""
    coated = Substrate(finish=("emulsion", "textured-coating"))
    walls = {
        room: tuple(
            Wall(wall, substrate=coated if (name, wall) == COATED else None) for name, wall in WALLS if name == room
        )
        for room in ("Hall", "Study")
    }
    return Job(
        title="A house",
        surveyed="2026-03-09",
        building=Building(region=region),
        rooms=tuple(Room(name=room, walls=walls[room]) for room in walls),
        trim=(Trim(name="skirting", member="skirting", where=tuple(Place(room=room) for room in walls)),),
        work=Work(start="2026-04-20"),
    )


def lift_of(rule: Rule) -> Lift:
    assert rule.lifted_by is not None
    return rule.lifted_by


def judge(region: str, records: Sequence[Record], departures: Sequence[Departure] = ()) -> Judge:
    return judge_of(replace(house(region), records=tuple(records), departures=tuple(departures)), PLUGINS)


def holds(region: str, records: Sequence[Record]) -> set[tuple[str, Where]]:
    """What is still open of every rule, told for the job, for each room and for each wall."""
    judging = judge(region, records)
    places = [Where(), *(Where(room) for room in ("Hall", "Study")), *(Where(room, wall) for room, wall in WALLS)]
    told = [rule.told(rule.weights[0], "It may be there.", where) for rule in RULES for where in places]
    judged = [*map(judging.judged, told), *map(judging.judged, judging.found_alone([]))]
    return {(finding.rule, finding.where) for finding in judged if open_(finding)}


def open_(finding: Finding) -> bool:
    return finding.weight != "record"


spots = st.sampled_from([("", ""), ("Hall", ""), ("Study", ""), *WALLS])
words = st.sampled_from(["", "all clear", "none found", "granted", "dealt with by a licensed firm", "LIVE"])


@st.composite
def any_records(draw: st.DrawFn, outcomes: Sequence[str] = OUTCOMES) -> Record:
    """A record of a step that protects, with anything in its keys."""
    room, wall = draw(spots)
    return Record(
        step=draw(st.sampled_from(STEPS)),
        outcome=draw(st.sampled_from(outcomes)),
        by=draw(st.sampled_from(["X", "a licensed contractor"])),
        competence=draw(
            st.sampled_from(["", "joiner", "electrician", "gas-engineer", "asbestos-surveyor", "authority"])
        ),
        on=draw(st.sampled_from(DAYS)),
        reference=draw(st.sampled_from(["", "report 7"])),
        says=draw(words),
        room=room,
        wall=wall,
    )


@st.composite
def idle_records(draw: st.DrawFn) -> Record:
    """A record in free text: its outcome settles nothing, or who, when or by what paper is left out."""
    record = draw(any_records())
    if record.outcome in ("clear", "dealt-with", "granted"):
        return replace(record, **{draw(st.sampled_from(["competence", "on", "reference"])): ""})
    return record


regions = st.sampled_from(REGIONS)


@given(regions, st.lists(idle_records(), max_size=6))
def test_free_text_lifts_nothing(region: str, records: list[Record]) -> None:
    assert holds(region, records) >= holds(region, [])


@given(regions, st.lists(any_records(), max_size=6), any_records(outcomes=("found", "refused")))
def test_a_thing_found_never_shortens_the_list_of_holds(region: str, records: list[Record], found: Record) -> None:
    assert holds(region, [*records, found]) >= holds(region, records)


@given(regions, st.lists(idle_records(), max_size=4), idle_records(), st.sampled_from(LIVED_WITH))
def test_what_was_dealt_with_by_one_whose_word_does_not_count_was_found_all_the_same(
    region: str, records: list[Record], dealt: Record, outcome: str
) -> None:
    dealt = replace(dealt, outcome=outcome, competence="")
    found = replace(dealt, outcome="found")
    for place in (Where(), *(Where(*wall) for wall in WALLS)):
        for rule in RULES:
            light = rule.told(rule.weights[-1], "It may be there.", place)
            weights = [judge(region, [*records, record]).judged(light).weight for record in (dealt, found)]
            assert weights[0] == weights[1]


@given(regions, st.lists(any_records(), max_size=4), st.data())
def test_words_beside_a_record_change_nothing(region: str, records: list[Record], data: st.DataObject) -> None:
    other = [replace(record, says=data.draw(words)) for record in records]
    assert holds(region, other) == holds(region, records)


def right(region: str, rule: Rule, wall: tuple[str, str]) -> Record | None:
    """The record of a wall, or of a room, that a rule asks for in a region; None where nobody there may say it."""
    judging, lift = judge(region, ()), lift_of(rule)
    for outcome, names in lift.outcomes.items():
        for name in names:
            if name in judging.asked.known:
                keys = {
                    "competence": name,
                    "covers_works": tuple(judging.job.works) if lift.names_works else (),
                    "kind": judging.asked.kinds(name)[0] if judging.asked.kinds(name) else "",
                    "on": "2026-03-12",
                    "reference": "report 7",
                    "room": wall[0],
                    "wall": wall[1],
                }
                return Record(step=lift.step, outcome=outcome, by="X", **keys)  # type: ignore[arg-type]
    return None


@given(regions)
def test_every_step_recorded_as_it_is_asked_leaves_none_of_those_holds(region: str) -> None:
    rooms = [("Hall", ""), ("Study", "")]
    said = [(rule, each) for rule in RULES for room in rooms if (each := right(region, rule, room)) is not None]
    named = {rule.name for rule, _ in said}
    assert not [hold for hold in holds(region, [record for _, record in said]) if hold[0] in named]


@given(regions, st.sampled_from(RULES), st.sampled_from(WALLS))
def test_a_record_of_one_wall_lifts_that_wall_only(region: str, rule: Rule, wall: tuple[str, str]) -> None:
    record = right(region, rule, wall)
    if record is not None:
        still = {where for name, where in holds(region, [record]) if name == rule.name}
        others = {Where(*other) for other in WALLS if other != wall}
        rooms = {Where("Hall"), Where("Study")} - ({Where("Study")} if wall[0] == "Study" else set())
        assert still == {Where(), *rooms, *others}


@given(regions, st.sampled_from(RULES), st.sampled_from(["2026-03-08", "2026-04-21", "2019-03-12"]))
def test_a_record_out_of_its_time_does_not_lift(region: str, rule: Rule, day: str) -> None:
    record = right(region, rule, ("Hall", "A"))
    lift = lift_of(rule)
    if (
        record is not None
        and lift.date
        and not (lift.before_survey and (day == "2026-03-08" or not lift.years.get(region)))
        and not (lift.during_work and day == "2026-04-21")
    ):
        assert (rule.name, Where("Hall", "A")) in holds(region, [replace(record, on=day)])


@given(regions, st.sampled_from([rule for rule in RULES if lift_of(rule).names_works]), st.data())
def test_a_consent_holds_while_the_job_does_more_than_it_covers(region: str, rule: Rule, data: st.DataObject) -> None:
    record = right(region, rule, ("", ""))
    assert record is not None
    left = data.draw(st.sampled_from(record.covers_works))
    less = [work for work in record.covers_works if work != left]
    held = rule.name, Where()
    assert held not in holds(region, [record])
    assert held in holds(region, [replace(record, covers_works=tuple(less))])


@given(regions, st.sampled_from(RULES))
def test_a_record_that_names_no_room_lifts_only_what_may_speak_of_the_whole_job(region: str, rule: Rule) -> None:
    record = right(region, rule, ("", ""))
    if record is not None:
        assert ((rule.name, Where()) in holds(region, [record])) is not lift_of(rule).whole_job


@given(regions, st.sampled_from(RULES), any_records(outcomes=("found",)), st.sampled_from(WALLS), st.data())
def test_what_was_found_in_a_named_place_does_not_go_by_a_clear_of_more_than_that_place(
    region: str, rule: Rule, found: Record, wall: tuple[str, str], data: st.DataObject
) -> None:
    record = right(region, rule, (wall[0], ""))
    if record is not None and record.outcome == "clear":
        found = replace(found, step=record.step, room=wall[0], wall=wall[1], on="2026-03-10")
        more = [record, replace(record, competence=data.draw(st.sampled_from(lift_of(rule).outcomes["clear"])))]
        assert (rule.name, Where(*wall)) in holds(region, [found, *more])


@given(regions, st.sampled_from([rule for rule in RULES if lift_of(rule).keeps]), st.sampled_from(WALLS), st.data())
def test_what_was_found_goes_only_by_those_who_alone_may_say_so_and_never_by_its_removal_alone(
    region: str, rule: Rule, wall: tuple[str, str], data: st.DataObject
) -> None:
    lift, record = lift_of(rule), right(region, rule, wall)
    assert record is not None
    found = replace(record, outcome="found", on="2026-03-10", kind="")
    kept = data.draw(st.sampled_from([None, *lift.keeps]))
    records = [found]
    if kept is not None:
        records.append(replace(found, outcome=kept, competence=lift.keeps[kept].who[0]))
    held = rule.name, Where(*wall)
    assert held in holds(region, records)
    assert held in holds(region, [*records, record])
    assert held not in holds(region, [*records, replace(record, competence=lift.after_found[0])])


@given(regions, st.sampled_from(RULES))
def test_no_departure_settles_what_only_a_record_lifts(region: str, rule: Rule) -> None:
    told = slips_of(replace(house(region), departures=(Departure(rule.name, "we want to", "the client"),)), PLUGINS)
    assert [lift_of(rule).step in fault.says for fault in told] == [True]


@given(regions, st.sampled_from([rule for rule in RULES if lift_of(rule).on_finish]), st.data())
def test_what_counts_on_a_finish_lifts_only_the_wall_that_has_it_and_that_is_named(
    region: str, rule: Rule, data: st.DataObject
) -> None:
    lift, room = lift_of(rule), data.draw(st.sampled_from([*WALLS, ("Hall", ""), ("", "")]))
    for outcome in lift.on_finish:
        who = data.draw(st.sampled_from(lift.outcomes[outcome]))
        record = Record(step=lift.step, outcome=outcome, by="X", competence=who, on="2026-03-12", reference="plan 7")
        found = replace(record, outcome="found", room=COATED[0], wall=COATED[1], on="2026-03-10")
        still = holds(region, [found, replace(record, room=room[0], wall=room[1])])
        known = who in judge(region, ()).asked.known
        assert ((rule.name, Where(*COATED)) not in still) is (room == COATED and known)
        assert {(rule.name, Where(*wall)) for wall in WALLS if wall != COATED} <= still

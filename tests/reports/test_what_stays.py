"""What the papers tell of openings, traces and old trim in the way, of what is seen and what was assumed."""

from __future__ import annotations

import pytest

from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import SettingOut
from listel.reports.drawings import draw
from listel.reports.papers import About
from listel.reports.papers.client import openings_stay, what
from listel.reports.papers.officer import items, rests
from listel.reports.papers.rooms import pictures
from listel.reports.papers.snags import leaves
from listel.reports.papers.workshop.pieces import pieces
from listel.reports.statement import compose

SURVEY = """
listel: 1
invented: true
job: {title: A flat}
building: {use: dwelling, built: 1826, region: scotland, protection: category-b}
records:
  - step: consent
    outcome: granted
    reference: B/26/1
    by: A. Council
    as: authority
    on: 2026-05-20
    covers: [dado in Parlour, facing in Parlour, window back in Parlour, skirting in Parlour, old 3 replace]
rooms:
  - name: Parlour
    height: 3000
    datum: 1000
    evidence:
      - {kind: surviving, member: dado-rail, height: 905, edge: top, wall: B, at: 500, note: As on the plan}
      - {kind: ghost-line, member: picture-rail, height: 2400, edge: top, wall: C}
    walls:
      - name: A
        length: 4000
        corner: {kind: internal, angle: 90}
        openings:
          - {kind: door, name: hall door, at: 400, width: 860, height: 2080, architrave: 110}
          - {kind: window, name: north light, at: 2000, width: 1000, height: 1500, sill: 700, reveal: 200}
      - name: B
        length: 4000
        corner: {kind: internal, angle: 90}
        openings: [{kind: cupboard, name: press, at: 2500, width: 760, height: 1980, architrave: 110}]
        existing:
          - {member: dado-rail, from: 0, to: 1000, top: 905, state: sound, intent: keep, original: original}
          - {member: dado-rail, from: 1000, to: 1800, top: 905, state: sound, intent: keep, original: original}
      - name: C
        length: 4000
        corner: {kind: internal, angle: 90}
        openings: [{kind: window, name: south light, at: 2000, width: 1000, height: 1500, sill: 700, architrave: 110}]
        existing: [{member: dado-rail, from: 0, to: 1800, top: 880, state: decayed, intent: replace, original: later}]
      - name: D
        length: 4000
        corner: {kind: internal, angle: 90}
        floor: [{at: 0, to-datum: 1000}, {at: 4000, to-datum: 1006}]
trim:
  - {name: dado, member: dado-rail, where: [{room: Parlour, walls: [C]}], section: {height: 70, projection: 30}}
  - {name: facing, member: architrave, where: [{room: Parlour, walls: [B]}], section: {height: 110, projection: 28}}
  - name: window back
    member: wainscot
    where: [{room: Parlour, walls: [A], from: 2000, to: 3000}]
    top: 700
    section: {height: 90, projection: 28}
  - {name: skirting, member: skirting, where: [{room: Parlour, walls: [D]}], section: {height: 150, projection: 20}}
"""


@pytest.fixture(scope="module")
def outcome() -> Outcome:
    """A room with new trim at two of its four openings, and a later dado beside the old."""
    return examine(job_from_text(SURVEY), load([]))


def test_openings_that_new_trim_goes_to_are_not_told_as_left_alone(outcome: Outcome) -> None:
    things = {thing.thing: (thing.happens, thing.why) for thing in items(outcome).others}
    assert things["North light"] == ("kept, with new trim", "Fixed to it: window back, as told of each above.")
    assert things["Press"] == ("kept, with new trim", "Fixed to it: facing, as told of each above.")
    assert things["Door, window"][0] == "kept"
    assert openings_stay(outcome.job, outcome.sheet) == (
        "New trim goes on the north light and press of the Parlour.",
        "The door and other window stay as they are.",
    )


def test_a_length_that_stays_is_a_trace_and_no_mark_that_is_covered(outcome: Outcome) -> None:
    assert what(outcome).traces == ("Parlour, wall C",)
    assert [thing.thing for thing in items(outcome).others if thing.happens == "covered"] == [
        "Ghost line of the picture rail"
    ]


def test_a_length_counts_once_as_a_trace_with_its_own_note_and_a_later_one_not_beside_the_old(
    outcome: Outcome,
) -> None:
    told = [(mark.says, mark.at, mark.note) for _, mark in rests(outcome).traces]
    assert told == [
        ("a surviving length on wall B", 500, "As on the plan"),
        ("a ghost line in paint or plaster on wall C", None, ""),
        ("a surviving length on wall B", 1000, ""),
    ]


def test_a_later_length_gives_the_height_where_nothing_else_does() -> None:
    mark = (
        "      - {kind: surviving, member: dado-rail, height: 905, edge: top, wall: B, at: 500, note: As on the plan}\n"
    )
    alone = SURVEY.replace("original: original", "original: later").replace(mark, "")
    found = rests(examine(job_from_text(alone), load([])))
    assert next(choice.by for choice in found.choices if choice.trim == "dado").startswith("a length later than the")


def test_new_trim_takes_the_place_of_the_old_that_comes_off(outcome: Outcome) -> None:
    dado = next(item for item in items(outcome).table.items if item.label == "dado")
    assert dado.happens == "takes the place of old 3"
    objective = " ".join(said for _, said in items(outcome).table.asks)
    taken = "the dado in the Parlour takes the place of old 3 (no reason is given)"
    assert f"{taken}; new trim goes where nothing old stands: facing" in objective[0].lower() + objective[1:]


def test_every_trim_has_its_place_on_the_officers_first_sheet(outcome: Outcome) -> None:
    told = {choice.trim: (choice.top, choice.size, choice.by) for choice in rests(outcome).choices}
    assert told["facing"] == (110, "wide", "as it was asked for")
    assert told["window back"] == (700, "", "as it was asked for")


def test_what_the_authority_has_granted_is_not_asked_again(outcome: Outcome) -> None:
    page = "".join(part.body for part in compose(outcome, readers="client").parts)
    assert "What its letter must cover" in page
    assert "What to ask the authority" not in page


def test_a_picture_names_as_seen_only_the_trim_of_walls_that_are_seen(outcome: Outcome) -> None:
    told = draw("picture", outcome, room="Parlour").alt
    seen, _, hidden = told.partition("On the walls left out: ")
    trims = {trim.name for trim in outcome.job.trim}
    assert hidden
    assert {name for name in trims if name in seen}.isdisjoint(name for name in trims if name in hidden)
    assert {name for name in trims if name in told} == trims


def test_what_stands_on_near_walls_alone_is_shown_from_the_other_side(outcome: Outcome) -> None:
    hidden = (
        draw("picture", outcome, room="Parlour").alt.partition("On the walls left out: ")[2].rstrip(".").split(", ")
    )
    (row,) = pictures(outcome, 190.0, 66.0, most=6, within=84.0)
    assert [each.title.partition(" as ")[2] for each in row] == [
        "it is",
        "it will be",
        "it will be, from the other side",
    ]
    assert set(hidden) <= set(row[-1].alt.partition("New trim: ")[2].rstrip(".").split(", "))
    assert "left out:" not in row[-1].alt
    assert all(len(row) < 3 for row in pictures(outcome, 190.0, 66.0, most=2, within=84.0)), (
        "no room is left out for it"
    )


def test_a_margin_that_was_assumed_stands_beside_each_leg_and_head() -> None:
    for given, told in ((110, 3), (116, 0)):
        survey = SURVEY.replace("height: 1980, architrave: 110", f"height: 1980, architrave: {given}")
        made = examine(job_from_text(survey), load([]))
        rows = [row for row in pieces(made, made.sheet[SettingOut]) if row.trim == "facing"]
        assert len(rows) == 3
        assert sum("margin 6 assumed" in row.other for row in rows) == told
        page = "".join(part.body for part in compose(made).parts)
        assert ("to be measured before the pieces there are cut: margin 6 mm at the press" in page) == bool(told)


def test_snags_are_looked_for_in_the_order_of_work(outcome: Outcome) -> None:
    order = [step.title for step in outcome.sheet[Sequence].steps]
    titles = [stage.title for stage in next(leaves(outcome, About(dated="", revision=""))).view.stages]
    assert [title for title in order if title in titles] == titles
    assert titles.index("Try every piece dry in its place") < titles.index("Scribe to floor and wall")

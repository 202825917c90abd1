"""The sections as DXF: read back, the entities run round the section without a gap, and the arcs keep their radii."""

from __future__ import annotations

from math import cos, hypot, radians, sin, tan
from operator import sub
from pathlib import Path

import pytest

from listel.core.survey.job import Job
from listel.core.survey.reading import job_from_text, read_survey
from listel.plugins.proportions import profile_path
from listel.reports.dxf import profiles

Point = tuple[float, float]


@pytest.fixture(scope="module")
def job(examples: Path) -> Job:
    """The stair hall, whose trims have lines and arcs of both hands."""
    return read_survey(examples / "stair-hall.yaml")


def entities(text: str) -> list[dict[int, str]]:
    """Every LINE and ARC of a file by group code."""
    lines = text.split("\n")[:-1]
    pairs = [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]
    found: list[dict[int, str]] = []
    for code, value in pairs:
        if code == 0:
            found.append({})
        if found:
            found[-1][code] = value
    return [each for each in found if each[0] in ("LINE", "ARC")]


def ends(entity: dict[int, str]) -> tuple[Point, Point]:
    """Where an entity starts and ends."""
    at = {code: float(value) for code, value in entity.items() if code >= 10}
    if entity[0] == "LINE":
        return (at[10], at[20]), (at[11], at[21])
    first, last = (
        (at[10] + at[40] * cos(radians(at[code])), at[20] + at[40] * sin(radians(at[code]))) for code in (50, 51)
    )
    return first, last


def test_each_section_has_a_file_that_names_its_unit(job: Job) -> None:
    assert list(profiles(job)) == [
        "skirting-mm.dxf",
        "dado-rail-mm.dxf",
        "picture-rail-mm.dxf",
        "door-architrave-mm.dxf",
    ]


def test_the_entities_close_the_section(job: Job) -> None:
    for trim, text in zip(job.trim, profiles(job).values(), strict=True):
        found = entities(text)
        points = [point for entity in found for point in ends(entity)]
        for x, y in points:
            assert sum(1 for a, b in points if hypot(a - x, b - y) < 0.001) == 2
        assert max(y for _, y in points) == pytest.approx(trim.section.height)


def test_arcs_keep_radius_and_way_round(job: Job) -> None:
    for trim, text in zip(job.trim, profiles(job).values(), strict=True):
        arcs = [segment for segment in profile_path(trim) if segment.centre]
        drawn = [entity for entity in entities(text) if entity[0] == "ARC"]
        assert [float(entity[40]) for entity in drawn] == pytest.approx([arc.radius for arc in arcs], abs=1e-4)
        for arc, entity in zip(arcs, drawn, strict=True):
            turn = (float(entity[51]) - float(entity[50])) % 360
            middle = radians(float(entity[50]) + turn / 2)
            there = (arc.centre[0] + arc.radius * cos(middle), arc.centre[1] + arc.radius * sin(middle))  # type: ignore[index]
            assert min(hypot(there[0] - x, there[1] - y) for x, y in arc.points(0.5)) < arc.radius * 0.01


SPRUNG = """
listel: 1
units: inches
invented: true
job: {title: A crown}
rooms: [{name: Parlor, height: 118, walls: [{name: A, length: 100}]}]
trim:
  - {name: crown, member: cornice, where: [{room: Parlor}],
     section: {height: 4 1/4, projection: 3 3/8, spring: 38THICK}}
"""


def test_a_sprung_board_leans_as_thick_as_it_is_and_is_none_where_nobody_knows_how_thick() -> None:
    job = job_from_text(SPRUNG.replace("THICK", ", thickness: 3/4"))
    (lines,) = (entities(text) for text in profiles(job).values())
    (x0, y0), (x1, y1) = max((ends(line) for line in lines), key=lambda pair: hypot(*map(sub, *pair)))
    away = [abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / hypot(x1 - x0, y1 - y0) for x, y in map(ends_at, lines)]
    assert any(each == pytest.approx(0.75 * 25.4, abs=0.01) for each in away)
    assert abs(x1 - x0) / abs(y1 - y0) == pytest.approx(tan(radians(38)), abs=0.001)
    points = [point for line in lines for point in ends(line)]
    assert all(sum(1 for a, b in points if hypot(a - x, b - y) < 0.001) == 2 for x, y in points)
    assert max(x for x, _ in points) == pytest.approx(3.375 * 25.4)
    assert not profiles(job_from_text(SPRUNG.replace("THICK", "")))


def ends_at(entity: dict[int, str]) -> Point:
    """Where an entity ends."""
    return ends(entity)[1]


def test_a_quadrant_without_a_profile_is_a_quarter_round() -> None:
    text = SPRUNG.replace("cornice", "shoe").replace(
        "4 1/4, projection: 3 3/8, spring: 38THICK", "3/4, projection: 3/4"
    )
    (drawn,) = (entities(text) for text in profiles(job_from_text(text)).values())
    (arc,) = (each for each in drawn if each[0] == "ARC")
    assert float(arc[40]) == pytest.approx(0.75 * 25.4)
    assert [float(arc[code]) for code in (10, 20)] == pytest.approx([0.0, 0.0], abs=1e-6)

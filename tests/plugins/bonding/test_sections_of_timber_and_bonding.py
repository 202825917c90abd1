"""The sections of ``timber`` and ``bonding`` render for full and bare jobs, in the statement's subset of HTML."""

from __future__ import annotations

import re
from dataclasses import replace
from types import ModuleType

import pytest

import listel.plugins.bonding as bonding
import listel.plugins.timber as timber
from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import (
    Air,
    Board,
    Building,
    Climate,
    Job,
    Place,
    Reading,
    Room,
    Section,
    Substrate,
    Trim,
    Wall,
)
from listel.plugins.defects import BoardCheck, DefectChecks, DefectVerdict
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import tables

ALLOWED = "h3 h4 p table caption thead tbody tr th td ul ol li figure figcaption div span strong em sup a br"
WALL = Wall(
    "A", Reading(4000), substrate=Substrate("gypsum-on-brick", finish=("emulsion",), condition="sound"), moisture=12
)
FULL = Job(
    "full",
    rooms=(Room("Parlour", walls=(WALL,)),),
    trim=(
        Trim(
            "rail",
            "dado-rail",
            (Place("Parlour"),),
            Section(63, 28),
            timber="european-redwood",
            finish="paint",
            moisture=9,
        ),
    ),
    building=Building(protection="none"),
    climate=Climate("heated", day=Air(18, 50)),
    rack=(Board("rail", 2000, "R3"),),
)
BARE = Job("bare", rooms=(Room("Parlour", walls=(Wall("A"),)),), trim=(Trim("rail", "dado-rail", (Place("Parlour"),)),))


def rendered(job: Job, module: ModuleType, setting_out: SettingOut | None = None) -> str:
    from listel.reports.templating import environment, render_file

    runs = tuple(
        Run(room="Parlour", wall="A", trim=trim.name, member=trim.member, start=0, end=4000) for trim in job.trim
    )
    firm = DefectVerdict(start=600, end=615, kind="knot", size=15, cut_out=False)
    checks = DefectChecks((BoardCheck(board="R3", trim="rail", rack=True, length=2000, verdicts=(firm,)),))
    sheet: dict[type, object] = {SettingOut: replace(setting_out or SettingOut(), runs=runs), DefectChecks: checks}
    said: list[Finding] = []
    for plugin in (timber, bonding):
        for thing in (thing for stage in plugin.listel_stages() for thing in stage.examine(job, Sheet(sheet))):
            said.append(thing) if isinstance(thing, Finding) else sheet.setdefault(type(thing), thing)
    by_name = {kind.__name__: thing for kind, thing in sheet.items()}
    values = {
        "job": job,
        "sheet": Sheet(sheet),
        "findings": said,
        "outcome": None,
        "result": by_name.get,
        "timber": tables.timber_words,
    }
    return str(render_file(environment(job), module.listel_sections()[0].template, values, trusted=True))


@pytest.mark.parametrize("module", [timber, bonding], ids=["timber", "bonding"])
@pytest.mark.parametrize(
    "job", [FULL, BARE, replace(FULL, units="inches"), Job("empty")], ids=["full", "bare", "inches", "empty"]
)
def test_a_section_keeps_to_the_subset(job: Job, module: ModuleType) -> None:
    html = rendered(job, module)
    assert set(re.findall(r"<([a-z0-9]+)", html)) <= set(ALLOWED.split(" "))
    assert "None" not in html
    for name in ("table", "tr", "td", "th", "p", "li", "ul"):
        assert len(re.findall(rf"<{name}[ >]", html)) == html.count(f"</{name}>")
    assert html.count("<table>") == html.count("<caption>") == html.count("<thead>")


def test_the_timber_section_tells_the_moisture_to_wait_for() -> None:
    html = rendered(FULL, timber)
    assert "wait for 7.3 to 11.3 %" in html
    assert "0.28 to 0.73 mm" in html


def test_unknown_heating_is_told_by_kind_of_heating() -> None:
    html = rendered(replace(FULL, climate=Climate()), timber)
    assert "cannot be named until the heating is known: heated 7.3 to 11.3 %" in html


def test_the_bonding_section_tells_why_that_filler_for_a_knot_and_a_gap() -> None:
    html = rendered(FULL, bonding)
    assert (
        "it is sealed, not filled" in html and "cellulose or gypsum filler, two-part wood filler, acrylic caulk" in html
    )
    assert "Hybrid polymer sealant serves" in html and "12.1 % of 3.0 mm" in html
    assert "of 310 ml" in html


def test_inch_jobs_show_inches() -> None:
    html = rendered(replace(FULL, units="inches"), timber)
    assert "0.011 to 0.029 in" in html

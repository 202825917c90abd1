"""However little a survey says, timber and bonding run to their end, and every line of theirs has its grounds."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import (
    Air,
    Board,
    Building,
    Choices,
    Climate,
    Defect,
    Job,
    Place,
    Reading,
    Room,
    Section,
    Substrate,
    Trim,
    Wall,
)
from listel.core.survey.words import built_in_schema
from listel.plugins.bonding import Bonding
from listel.plugins.bonding.rules import examine as examine_bonding
from listel.plugins.defects import DefectChecks
from listel.plugins.setting_out import BowCheck, Run, SettingOut
from listel.plugins.timber import Movement
from listel.plugins.timber.rules import examine as examine_timber

SCHEMA = built_in_schema()


def words(*path: str) -> list[str]:
    found = SCHEMA
    for key in path:
        found = found[key]
    found = found.get("anyOf", [found])[0]  # of several, one may be said alone
    return list(SCHEMA["$defs"][found["$ref"].rpartition("/")[2]]["enum"] if "$ref" in found else found["enum"])


def maybe(values: object) -> st.SearchStrategy:  # type: ignore[type-arg]
    return st.none() | (st.sampled_from(values) if isinstance(values, list) else values)  # type: ignore[arg-type]


TRIM = ("$defs", "trim", "properties")
SUBSTRATE = ("$defs", "substrate", "properties")
CHOICES = ("properties", "choices", "properties")
percents = st.floats(0, 100)
airs = st.builds(Air, maybe(st.floats(-60, 80)), maybe(percents))
defects = st.builds(
    Defect,
    st.just(10.0),
    st.floats(11, 90),
    st.just("knot"),
    maybe(st.floats(0, 60)),
    maybe(percents),
    sound=maybe(st.booleans()),
)
jobs = st.builds(
    Job,
    st.just("invented"),
    units=st.sampled_from(["mm", "inches"]),
    building=st.builds(
        Building,
        maybe(st.integers(1600, 2020)),
        protection=maybe(words("properties", "building", "properties", "protection")),
        region=maybe(words("properties", "building", "properties", "region")),
    ),
    climate=st.builds(
        Climate, maybe(words("properties", "climate", "properties", "heating")), maybe(airs), maybe(airs), maybe(airs)
    ),
    rooms=st.builds(
        lambda wall: (Room("Parlour", walls=(wall,)),),
        st.builds(
            Wall,
            st.just("A"),
            maybe(st.builds(Reading, st.floats(100, 9000))),
            substrate=maybe(
                st.builds(
                    Substrate,
                    maybe(words(*SUBSTRATE, "kind")),
                    condition=maybe(words(*SUBSTRATE, "condition")),
                    finish=st.lists(st.sampled_from(words("$defs", "old-finish")), max_size=2).map(tuple),
                )
            ),
            moisture=maybe(percents),
        ),
    ),
    trim=st.builds(
        lambda trim: (trim,),
        st.builds(
            Trim,
            st.just("rail"),
            st.sampled_from(words(*TRIM, "member")),
            st.just((Place("Parlour"),)),
            st.builds(Section, maybe(st.floats(3, 1500)), maybe(st.floats(3, 600)), maybe(st.floats(3, 200))),
            timber=maybe(words(*TRIM, "timber")),
            density=maybe(st.floats(100, 1400)),
            rings=maybe(words(*TRIM, "rings")),
            finish=maybe(words(*TRIM, "finish")),
            moisture=maybe(percents),
            internal=maybe(["mitre", "cope"]),
        ),
    ),
    rack=st.lists(defects, max_size=2).map(lambda found: (Board("rail", 2000, "R1", defects=tuple(found)),)),
    choices=st.builds(
        Choices,
        fixing=st.lists(st.sampled_from(words(*CHOICES, "fixing")), max_size=2, unique=True).map(tuple),
        **{name: maybe(words(*CHOICES, name)) for name in ("adhesive", "filler", "sealant")},
        spacing=maybe(st.floats(20, 3000)),
    ),
)
bows = st.builds(
    BowCheck,
    room=st.just("Parlour"),
    wall=st.just("A"),
    trim=st.just("rail"),
    chord=st.floats(300, 5000),
    rise=st.floats(1, 50),
    radius=st.floats(300, 1e6),
    arc_excess=st.just(0.1),
    stiff=maybe(st.floats(1e6, 1e10)),
    way=st.sampled_from(("", "bend", "thin", "kerf", "pack", "scribe")),
    gap=st.floats(0, 50),
)
RUN = Run(room="Parlour", wall="A", trim="rail", member="dado-rail", start=0.0, end=900.0)
setting_outs = st.builds(lambda bow: SettingOut(runs=(RUN,), bows=(bow,) if bow else ()), maybe(bows))


def run(job: Job, setting_out: SettingOut) -> tuple[dict[type, object], list[Finding]]:
    sheet: dict[type, object] = {SettingOut: setting_out, DefectChecks: DefectChecks()}
    said: list[Finding] = []
    for examine in (examine_timber, examine_bonding):
        for thing in examine(job, Sheet(sheet)):
            if isinstance(thing, Finding):
                said.append(thing)
            else:
                assert type(thing) not in sheet
                sheet[type(thing)] = thing
    return sheet, said


@given(jobs, setting_outs)
def test_any_sparse_job_is_examined_to_the_end(job: Job, setting_out: SettingOut) -> None:
    sheet, said = run(job, setting_out)
    bonding, movement = sheet[Bonding], sheet[Movement]
    assert isinstance(bonding, Bonding) and isinstance(movement, Movement)
    assert len(movement.lines) == 1
    assert len(bonding.bonds) == 1 or job.trim[0].member != "dado-rail"
    for line in (*movement.lines, *bonding.bonds, *bonding.fills, *bonding.materials):
        assert line.grounds.result
        assert line.grounds.sources
    for finding in said:
        assert finding.says and finding.says[-1] in ".!" and "None" not in finding.says + finding.mend
        if finding.weight == "hold":
            assert finding.grounds.sources and finding.grounds.result and finding.mend
    for fill in bonding.fills:
        assert fill.filler not in dict(fill.refused) or fill.filler == job.choices.filler
    for bond in bonding.bonds:
        assert bond.adhesive not in dict(bond.refused)
        assert job.choices.adhesive in (None, bond.adhesive) or bond.adhesive == "none"


@given(jobs)
def test_what_is_not_known_widens_the_range(job: Job) -> None:
    """Leaving out the timber or the rings gives a range that holds the range with them."""
    from dataclasses import replace

    known = run(job, SettingOut())[0][Movement].lines[0]  # type: ignore[attr-defined]
    for missing in ("timber", "rings"):
        wide = run(replace(job, trim=(replace(job.trim[0], **{missing: None}),)), SettingOut())[0][Movement].lines[0]  # type: ignore[attr-defined]
        if known.width_low is not None:
            assert wide.width_low <= known.width_low + 1e-9
            assert wide.width_high >= known.width_high - 1e-9

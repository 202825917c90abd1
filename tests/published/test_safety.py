"""Safety relations against what their publications print. Each row names its source."""

from __future__ import annotations

import pytest

from listel.core.contract.tables import load_table
from listel.core.survey.job import Building, Fitting, HeightReading, Job, Place, Reading, Room, Section, Trim, Wall
from listel.plugins.safety.crossings import Band, free, holds_point, joined, met
from listel.plugins.safety.exposure import (
    advised_dose,
    daily_noise,
    daily_vibration,
    noise_dose,
    noise_points,
    permitted_hours,
    reached,
    reckon,
    vibration_points,
)
from listel.plugins.safety.painted import WallPaint
from listel.plugins.safety.relations import (
    dew_point,
    ear_by_hml,
    ear_by_snr,
    ladder_foot,
    lifting_filter,
    mean_of_day,
    minor_work,
    penetration,
    removed_area,
)
from listel.plugins.safety.zones import zones_of
from listel.plugins.site import site_of

HAV = "Control of Vibration at Work Regulations 2005, Schedule 1"
HAV_POINTS = "HSE, hand-arm vibration ready-reckoner"
EU_HAV = "EU guide to good practice on hand-arm vibration, worked example, from memory"
NOISE = "Control of Noise at Work Regulations 2005, Schedule 1"
NOISE_POINTS = "HSE, noise exposure ready-reckoner, quoted"
OSHA = "29 CFR 1926.52, Table D-2"


def row(source: str, *values: object) -> object:
    """A row of checks whose id is its source."""
    return pytest.param(*values, id=f"{source}: {tuple(getattr(value, '__name__', value) for value in values)}")


@pytest.mark.parametrize(
    ("uses", "a8", "points"),
    [
        row(HAV_POINTS, [(5, 3)], 3.062, 150),
        row(HAV_POINTS, [(2.5, 8)], 2.5, 100),
        row(HAV_POINTS, [(5, 8)], 5.0, 400),
        row(EU_HAV, [(4, 4.5)], 3.0, 144),
        row(EU_HAV, [(4, 2.5), (3, 1), (20, 0.25)], 4.316, 298),
        row(HAV_POINTS, [(7, 1)], 2.475, 98),
    ],
)
def test_vibration(uses, a8, points):
    assert daily_vibration(uses) == pytest.approx(a8, abs=0.005)
    assert sum(vibration_points(*use) for use in uses) == pytest.approx(points, abs=0.5)


@pytest.mark.parametrize(
    ("uses", "level", "points"),
    [
        row(NOISE_POINTS, [(85, 8)], 85.0, 100),
        row(NOISE_POINTS, [(90, 8)], 90.0, 316),
        row(NOISE_POINTS, [(80, 8)], 80.0, 31.6),
        row(NOISE_POINTS, [(83, 4)], 80.0, 31.6),
        row(NOISE_POINTS, [(86, 2)], 80.0, 31.6),
        row(NOISE_POINTS, [(95, 0.25)], 79.9, 31.3),
        row(f"{NOISE}; HSE saw levels", [(100, 0.25)], 84.95, 98.8),
        row(f"{NOISE}; HSE saw levels", [(102, 0.25)], 86.95, 156.6),
        row(NOISE, [(94, 1), (88, 2), (82, 5)], 87.57, 180.5),
    ],
)
def test_noise(uses, level, points):
    assert daily_noise(uses) == pytest.approx(level, abs=0.06)
    assert sum(noise_points(*use) for use in uses) == pytest.approx(points, abs=0.5)


@pytest.mark.parametrize(("level", "hours"), [row(OSHA, 95, 4), row(OSHA, 100, 2), row(OSHA, 115, 0.25)])
def test_permitted_hours_in_the_united_states(level, hours):
    assert permitted_hours(level) == pytest.approx(hours, rel=0.01)


@pytest.mark.parametrize(
    ("uses", "dose"), [row("29 CFR 1926.52(d)(2), example from memory", [(110, 0.25), (100, 0.5), (90, 1.5)], 0.9375)]
)
def test_noise_dose_in_the_united_states(uses, dose):
    assert noise_dose(uses) == pytest.approx(dose, abs=0.001)
    assert reached("noise", dose, "osha")[0] == ""


HSE_EAR = "HSE method of L108 and BS EN ISO 4869-2, makers' worked examples seen second-hand"


@pytest.mark.parametrize(
    ("reckoned", "given", "wanted"),
    [
        row(f"{HSE_EAR}: SNR 28 at 97 dB(C)", ear_by_snr, (97, 28), 73),
        row(f"{HSE_EAR}: H 30, M 24, L 22 at 96 dB(A), 99 dB(C)", ear_by_hml, (96, 99, 30, 24, 22), 76.25),
        row("BS EN ISO 4869-2: the two slopes meet at 2 dB", ear_by_hml, (96, 98, 30, 24, 22), 96 - 24 + 4),
        row("BS EN ISO 4869-2: below 2 dB between M and H, worked by hand", ear_by_hml, (96, 97, 30, 24, 22), 74.5),
        row("NIOSH, 1998: 100 dBA for 15 min is the whole dose", advised_dose, ([(100, 0.25)],), 1),
        row("NIOSH, 1998: counted from 80 dBA", advised_dose, ([(80, 8), (79.9, 8)],), 0.31498),
        row("29 CFR 1910.95, Appendix A: 92 dBA for 8 h is about 131 %", noise_dose, ([(92, 8)],), 1.32),
    ],
)
def test_what_is_left_at_the_ear_and_the_doses_of_the_united_states(reckoned, given, wanted):
    assert reckoned(*given) == pytest.approx(wanted, abs=0.012)


def test_a_week_of_2000_points():
    """HSE, weekly noise reckoner of 2020: 2000 points in a week of five days are 91 dB."""
    assert 5 * noise_points(91, 8) == pytest.approx(2000, rel=0.01)


@pytest.mark.parametrize(
    ("kind", "dose", "called"),
    [
        row("Control of Noise at Work Regulations, reg. 4", "noise", 80.0, "lower action value of 80"),
        row("Control of Noise at Work Regulations, reg. 4", "noise", 85.0, "upper action value of 85"),
        row("Control of Noise at Work Regulations, reg. 4", "noise", 86.94, "upper action value of 85"),
        row("Control of Noise at Work Regulations, reg. 4", "noise", 87.0, "exposure limit of 87"),
        row("Control of Vibration at Work Regulations 2005, reg. 4", "vibration", 2.499, ""),
        row("Control of Vibration at Work Regulations 2005, reg. 4", "vibration", 2.5, "action value of 2.5"),
        row("Control of Vibration at Work Regulations 2005, reg. 4", "vibration", 5.0, "exposure limit of 5"),
    ],
)
def test_the_value_reached(kind, dose, called):
    assert reached(kind, dose)[0] == called


@pytest.mark.parametrize(
    ("given", "name", "value"),
    [
        row(HAV, {"vibration": (5.0,), "hours": (2.0,)}, "a8", 2.5),
        row(NOISE, {"noise": (88.0,), "hours": (4.0,)}, "lep_d", 85.0),
        row(OSHA, {"noise": (95.0,), "hours": (4.0,), "region": "us"}, "dose", 1.0),
        row("EH40, calculation of the mean", {"dust": (5.0, 1.0), "hours": (4.0, 4.0), "of": "hardwood"}, "c8", 3.0),
    ],
)
def test_the_calculation_exposure(given, name, value):
    assert reckon(given).results[name] == value


@pytest.mark.parametrize(
    ("of", "verdict"),
    [row("EH40, hardwood 3 mg/m3", "hardwood", "at the limit"), row("EH40, softwood 5", "softwood", "under")],
)
def test_wood_dust_against_its_limit(of, verdict):
    given = {"dust": (5.0, 1.0), "hours": (4.0, 4.0), "of": of}
    assert mean_of_day([(5, 4), (1, 4)]) == 3.0
    assert verdict in " ".join(reckon(given).says)


BS7671 = "BS 7671:2018, 522.6.202, quoted; geometry"
SOCKET, SWITCH = Fitting("socket", 957, 407, 86, 86), Fitting("switch", 3557, 1157, 86, 86)


def zones(monkeypatch, margin=0.0, fittings=(SOCKET, SWITCH), region="england", **more):
    """The zones of a wall 4000 long and 2700 high with a margin of our choosing."""
    from listel.plugins.safety import zones as module

    real = module.policy
    monkeypatch.setattr(module, "policy", lambda name: margin if name == "margin" else real(name))
    wall = Wall("A", length=Reading(4000), fittings=fittings, **{"thickness": 100, **more})
    room = Room("Parlour", height=(HeightReading(2700),), walls=(wall,))
    job = Job("check", building=Building(region=region), rooms=(room,))
    return zones_of(job, room, site_of(job).wall("Parlour", "A"))


@pytest.mark.parametrize(
    ("point", "margin", "kinds"),
    [
        row(BS7671, (1000, 90), 0, {"vertical"}),
        row(BS7671, (1043, 90), 0, {"vertical"}),
        row(BS7671, (1044, 90), 0, set()),
        row(BS7671, (1044, 90), 25, {"vertical"}),
        row(BS7671, (2000, 90), 0, set()),
        row(BS7671, (150, 90), 0, {"corner"}),
        row(BS7671, (151, 90), 0, set()),
        row(BS7671, (3850, 90), 0, {"corner"}),
        row(BS7671, (2000, 2550), 0, {"top"}),
        row(BS7671, (2000, 2549), 0, set()),
    ],
)
def test_points_in_zones(monkeypatch, point, margin, kinds):
    assert {zone.kind for zone in zones(monkeypatch, margin) if holds_point(zone, *point)} == kinds


LIKE_DADO = [(0, 150), (957, 1043), (3557, 3643), (3850, 4000)]


@pytest.mark.parametrize(
    ("band", "hits"),
    [
        row(BS7671, (935, 965), LIKE_DADO),
        row(BS7671, (1175, 1225), [(0, 4000)]),
        row(BS7671, (2575, 2625), [(0, 4000)]),
        row(BS7671, (2400, 2450), LIKE_DADO),
    ],
)
def test_rail_bands_against_zones(monkeypatch, band, hits):
    rail = Band(room="Parlour", wall="A", trim="rail", start=0, end=4000, knots=((0, *band), (4000, *band)))
    found = joined(span for zone in zones(monkeypatch) for span in met(zone, rail))
    assert found == hits
    if hits == LIKE_DADO:
        assert sum(b - a for a, b in found) == 472
        assert free(found, 0, 4000) == [(150, 957), (1043, 3557), (3643, 3850)]


@pytest.mark.parametrize(("thickness", "hit"), [row(BS7671, 100, True), row(BS7671, 101, False)])
def test_the_reverse_side_of_a_wall(monkeypatch, thickness, hit):
    found = zones(monkeypatch, fittings=(), behind=(SOCKET,), thickness=thickness)
    assert any(zone.kind == "vertical" and holds_point(zone, 1000, 1800) for zone in found) is hit


@pytest.mark.parametrize(
    ("region", "length", "trim", "depth", "deep"),
    [
        row(BS7671, "united-kingdom", 60, 20, 42, False),
        row(BS7671, "united-kingdom", 75, 27, 50, True),
        row("NEC 300.4(A) and (D), 1 1/4 in, quoted", "united-states", 48, 19, 31, False),
        row("NEC 300.4(A) and (D), 1 1/4 in, quoted", "united-states", 49, 19, 32, True),
    ],
)
def test_how_deep_a_fixing_goes(region, length, trim, depth, deep):
    assert penetration(length, trim, 2) == depth
    assert (depth >= load_table("listel.plugins.safety", "zones").row(region)["deep"]) is deep


EPA = "40 CFR 745.83, EPA"
FOOT = 304.8


@pytest.mark.parametrize(
    ("parts", "area", "flame", "minor"),
    [
        row(EPA, [(12 * FOOT, FOOT / 2)], 6.0, False, True),
        row(EPA, [(145 / 12 * FOOT, FOOT / 2)], 6.04, False, False),
        row(EPA, [(3.5 * FOOT, FOOT), (3.0 * FOOT, FOOT)], 6.5, False, False),
        row(
            "EPA, frequent questions on the rule: a 1 in strip of a 36 in face", [(36 * 25.4, 25.4)], 0.25, False, True
        ),
        row("40 CFR 745.85(a)(3), EPA", [(FOOT, FOOT)], 1.0, True, False),
    ],
)
def test_painted_area_and_minor_work(parts, area, flame, minor):
    assert removed_area(parts) == pytest.approx(area, abs=0.005)
    assert minor_work(removed_area(parts), flame) is minor


@pytest.mark.parametrize(
    ("walls", "area", "minor"),
    [
        row(EPA, [WallPaint(wall=w, parts=((4 * FOOT, FOOT / 2),)) for w in "ABC"], 6.0, True),
        row(
            EPA,
            [
                *(WallPaint(wall=w, parts=((4 * FOOT, FOOT / 2),)) for w in "AB"),
                WallPaint(wall="C", parts=((49 / 12 * FOOT, FOOT / 2),)),
            ],
            6.04,
            False,
        ),
        row(EPA, [WallPaint(wall="A", parts=((12 * FOOT, FOOT / 2),), holes=((24, 25.4),))], 6.13, False),
        row("geometry: 40 holes of 5 mm", [WallPaint(wall="A", holes=((40, 5.0),))], 0.0085, True),
    ],
)
def test_painted_area_wall_by_wall(walls, area, minor):
    found = sum(wall.area for wall in walls)
    assert found == pytest.approx(area, abs=0.005)
    assert minor_work(found) is minor


def test_lifting_filter():
    """L23, HSE, its cuts quoted."""
    assert lifting_filter(25) == pytest.approx(15.75, abs=0.01)


@pytest.mark.parametrize(("height", "out", "angle"), [row("LA455, HSE and industry, quoted", 4.0, 1.0, 75.96)])
def test_ladder(height, out, angle):
    assert ladder_foot(height) == pytest.approx((out, angle), abs=0.05)


@pytest.mark.parametrize(
    ("air", "point"),
    [
        row("Magnus formula, Alduchov and Eskridge 1996, from memory", (20, 60), 12.0),
        row("Magnus formula, Alduchov and Eskridge 1996, from memory", (10, 85), 7.6),
    ],
)
def test_dew_point(air, point):
    assert dew_point(*air) == pytest.approx(point, abs=0.1)


@pytest.mark.parametrize(
    ("built", "region", "hold"),
    [
        row("HSG264, HSE, buildings before 2000", 1890, "england", True),
        row("29 CFR 1926.1101, no later than 1980, quoted", 1980, "united-states", True),
        row("29 CFR 1926.1101, no later than 1980, quoted", 1981, "united-states", False),
    ],
)
def test_asbestos_by_year_and_place(built, region, hold):
    from listel.core.contract.stage import Sheet
    from listel.plugins.safety.fabric import asbestos

    room = Room("Parlour", walls=(Wall("A", length=Reading(4000)),))
    trim = Trim("skirting", "skirting", (Place("Parlour"),), section=Section(150, 20))
    job = Job("check", building=Building(built=built, region=region, refurbished=(1975,)), rooms=(room,), trim=(trim,))
    assert any(getattr(item, "open_hold", False) for item in asbestos(job, Sheet())) is hold

"""Heights of rails and parts of orders against the figures their authors printed."""

from __future__ import annotations

import pytest

from listel.plugins.heights.candidates import band
from listel.plugins.heights.orders import order_parts, shared
from listel.plugins.heights.stairs import foot_knee, head_knee, plumb_face, square_offset
from listel.plugins.site import pitch_of

MOXON = "Vignola by Moxon 1673"
PALLADIO = "Palladio by Richards 1668"
SCAMOZZI = "Scamozzi, Mirror of Architecture 1687"
DIRECTOR = "Gentleman and Cabinet-Maker's Director 1754"

ORDERS = [
    (f"{MOXON}, fig IV: 4:12:3", "vignola", "doric", 2700, {"pedestal": 568.4, "entablature": 426.3}),
    (f"{MOXON}, figs XII, XIV", "vignola", "ionic", 2850, {"pedestal": 600, "column": 1800, "entablature": 450}),
    (f"{MOXON}, figs XXI, XXII", "vignola", "corinthian", 3200, {"pedestal": 700, "column": 2000, "entablature": 500}),
    (f"{PALLADIO}, pp. 81-87", "palladio", "corinthian", 3200,
     {"pedestal": 551.7, "column": 2206.9, "entablature": 441.4}),
    (
        f"{PALLADIO}, pp. 75, 87, 93: 2:5:1 and 4:3:5",
        "palladio", "corinthian", 3200,
        {"base": 137.9, "plinth": 92.0, "die": 344.8, "cap": 69.0,
         "architrave": 147.1, "frieze": 110.3, "cornice": 183.9},
    ),
    (
        f"{PALLADIO}, pp. 101-113",
        "palladio", "composite", 3000,
        {"pedestal": 652.2, "column": 1956.5, "entablature": 391.3, "base": 153.5, "die": 422.0, "cap": 76.7},
    ),
    (
        f"{SCAMOZZI}, pl. I and VI",
        "scamozzi", "ionic", 3000,
        {
            "pedestal": 576.9, "column": 2019.2, "entablature": 403.8, "base": 173.1, "die": 317.3, "cap": 86.5,
            "architrave": 134.6, "frieze": 107.7, "cornice": 161.5,
        },
    ),
    (f"{SCAMOZZI}, pl. I", "scamozzi", "tuscan", 2400, {"pedestal": 400, "column": 1600, "entablature": 400}),
    (f"{DIRECTOR}, pp. 1-2", "director", "doric", 2950, {"pedestal": 590, "column": 1888, "entablature": 472}),
    (f"{DIRECTOR}, p. 2", "director", "ionic", 2950, {"pedestal": 590, "column": 1966.7, "entablature": 393.3}),
    (f"{DIRECTOR}, pl. IV", "director", "corinthian", 2950, {"entablature": 472}),
    ("Gibbs 1732, from memory: rest in six", "gibbs", "corinthian", 2950, {"entablature": 393.3}),
    (
        "Chambers 1759: pedestal 3/10, entablature 1/4 of the column, parts 3:3:4",
        "chambers", "ionic", 3600,
        {"pedestal": 696.8, "column": 2322.6, "entablature": 580.6,
         "architrave": 174.2, "frieze": 174.2, "cornice": 232.3},
    ),
    ("Chambers 1759, interiors (derived)", "chambers", "interior", 3000,
     {"pedestal": 600, "column": 2000, "entablature": 400}),
    ("Mauclerc by Pricke 1669, ch. II", "mauclerc", "doric", 2400,
     {"pedestal": 600, "base": 85.7, "die": 428.6, "cap": 85.7}),
    ("Benjamin, Doric 15/80 (second-hand): 16 ft gives 36 in", "benjamin", "doric", 4877, {"pedestal": 914.4}),
]  # fmt: skip


@pytest.mark.parametrize(("source", "author", "order", "height", "expected"), ORDERS, ids=[row[0] for row in ORDERS])
def test_order_on_a_wall(source: str, author: str, order: str, height: float, expected: dict[str, float]) -> None:
    found = order_parts(author, order, height)
    for part, size in expected.items():
        assert found[part] == pytest.approx(size, abs=0.1), part


SPLITS = [
    ("Ware 1920, p. 38: ninths of a pedestal", 568.42, (2, 6, 1), (126.3, 378.9, 63.2)),
    ("Ware 1920, p. 14: Doric entablature 2:3:3", 426.32, (2, 3, 3), (106.6, 159.9, 159.9)),
    ("Vignola by Moxon 1673, fig XII: Ionic entablature 5:6:7", 426.32, (5, 6, 7), (118.4, 142.1, 165.8)),
    ("Director 1754 Doric at 2:3:3", 472, (2, 3, 3), (118, 177, 177)),
    ("Director 1754 Ionic at 3:3:4", 393.33, (3, 3, 4), (118, 118, 157.3)),
    ("Perrault 1683 (second-hand): quarter, five eighths, eighth", 540, (2, 5, 1), (135, 337.5, 67.5)),
]


@pytest.mark.parametrize(("source", "whole", "parts", "expected"), SPLITS, ids=[row[0] for row in SPLITS])
def test_parts_of_pedestal_and_entablature(
    source: str, whole: float, parts: tuple[int, ...], expected: tuple[float, ...]
) -> None:
    assert shared(whole, parts) == pytest.approx(expected, abs=0.1)


def test_vignola_tuscan_without_a_pedestal_after_moxon_fig_ii() -> None:
    found = order_parts("vignola", "tuscan", 3500, pedestal=False)
    assert (found["column"], found["entablature"]) == pytest.approx((2800, 700), abs=0.01)


def test_scamozzi_doric_in_diameters_after_his_plate_i() -> None:
    """Pedestal 2 D 16', whole 12 D 53 1/2' with a column of 8 1/2 D: Scamozzi, Mirror of Architecture, 1687, pl. I."""
    whole = 8.5 * 91 / 60
    assert whole == pytest.approx(12 + 53.5 / 60, abs=1e-4)
    assert order_parts("scamozzi", "doric", whole)["pedestal"] == pytest.approx(2 + 16 / 60, abs=1e-4)


def test_the_fifth_and_the_quarter_against_the_band_common_practice() -> None:
    """Common practice, no source: a fifth of 2400 is 480; it reaches 610 at 3050, the quarter at 2440."""
    limits = band("dado-rail", "reception")
    assert limits.misses(2400 / 5) < 0
    assert limits.low * 5 == pytest.approx(3050, abs=2.5)
    assert limits.low * 4 == pytest.approx(2440, abs=2)


def test_a_quarter_of_ten_feet_is_thirty_inches_an_american_example_room() -> None:
    """An example room in a restoration article (second-hand): 10 ft high, rail at 30 in."""
    assert pytest.approx(30 * 25.4) == 3048 / 4


def test_vignola_picture_rail_line_at_nine_feet() -> None:
    """Derived from Vignola's 4:12:3 (Moxon 1673, fig IV): underside of the entablature in a room of 9 ft."""
    found = order_parts("vignola", "doric", 2743)
    assert found["pedestal"] + found["column"] == pytest.approx(2309.9, abs=0.1)
    assert found["entablature"] == pytest.approx(433.1, abs=0.1)


STAIRS = [
    ("pitch, geometry", pitch_of(190, 230), 39.560, 0.001),
    ("foot knee at equal heights is one going, geometry", foot_knee(190, pitch_of(190, 230), 900, 900), 230, 0.01),
    ("head knee at equal heights is at the nosing, geometry", head_knee(pitch_of(190, 230), 900, 900), 0, 0.01),
    (
        "foot knee by the half-riser rule, Newlands (second-hand)",
        foot_knee(190, pitch_of(190, 230), 900, 995),
        115,
        0.01,
    ),
    ("head knee by the half-riser rule, Newlands (second-hand)", head_knee(pitch_of(190, 230), 900, 995), 115, 0.01),
    ("square offset, geometry", square_offset(900, pitch_of(190, 230)), 693.9, 0.1),
    ("plumb depth of a raked face, geometry", plumb_face(63, pitch_of(190, 230)), 81.7, 0.1),
]


@pytest.mark.parametrize(("source", "found", "expected", "within"), STAIRS, ids=[row[0] for row in STAIRS])
def test_rails_on_stairs(source: str, found: float, expected: float, within: float) -> None:
    assert found == pytest.approx(expected, abs=within)

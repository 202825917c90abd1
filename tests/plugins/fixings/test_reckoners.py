"""The reckoners ``nail`` and ``lead-hole``."""

from __future__ import annotations

import pytest

from listel.core.commands.cli import main
from listel.core.contract.reckoning import Reckoning
from listel.plugins.fixings.reckon import reckoners


def reckon(name: str, **given: object) -> Reckoning:
    (one,) = [reckoner for reckoner in reckoners() if reckoner.name == name]
    usual = {
        option.name.replace("-", "_"): False if option.kind == "flag" else option.default for option in one.options
    }
    return one.reckon(usual | given)


def test_nail_after_eurocode_5() -> None:
    results = reckon("nail", diameter=3.35, length=65.0, timber_density=350.0, trim=21.0).results
    assert results["withdrawal"] == pytest.approx(2.45 * 3.35 * 44, abs=0.1)
    assert results["withdrawal_lasting"] == 0
    assert results["predrill"] is True
    assert results["spacings_not_predrilled"]["along"] == pytest.approx(33.5)
    assert results["spacings"]["unloaded_end"] == pytest.approx(23.45)
    assert results["lead_hole"] == pytest.approx(2.51)


def test_rope_and_row() -> None:
    results = reckon("nail", diameter=3.35, length=65.0, timber_density=350.0, trim=21.0, number=5).results
    assert results["lateral_with_rope"] == pytest.approx(results["lateral"] + results["withdrawal"] / 4, abs=0.1)
    assert results["effective_number"] == pytest.approx(5 ** (0.5 + 0.2 / 3))


def test_nail_after_the_nds() -> None:
    found = reckon("nail", code="nds", gravity=0.5, diameter=0.131 * 25.4)
    assert found.results["withdrawal_by_depth"] == 5.6 and found.says[0].startswith("Allowable withdrawal 32 lb ")


def test_nds_withdrawal_of_a_nail_of_known_depth() -> None:
    deep = reckon("nail", code="nds", gravity=0.5, diameter=3.3, length=65.0, trim=20.0).results
    shallow = reckon("nail", code="nds", gravity=0.5, diameter=3.3, length=30.0, trim=20.0).results
    assert deep["withdrawal"] == pytest.approx(45 * 5.55, rel=0.01)
    assert shallow["withdrawal"] == 0


def test_plaster_costs_lateral_capacity() -> None:
    near = reckon("nail", diameter=3.35, length=75.0, timber_density=350.0, trim=20.0).results
    far = reckon("nail", diameter=3.35, length=75.0, timber_density=350.0, trim=20.0, plaster=20.0).results
    assert far["lateral"] < near["lateral"] / 2 and far["lateral_mode"] == "f"


def test_assumed_figures_are_shown() -> None:
    (grounds,) = reckon("nail", diameter=3.0).grounds
    assert [given.name for given in grounds.inputs if given.assumed] == ["timber density", "bearing density", "head"]


@pytest.mark.parametrize(
    "given",
    [
        {"diameter": -1.0},
        {"diameter": 9.0},
        {"diameter": 3.0, "length": 20.0, "trim": 25.0},
        {"diameter": 3.0, "plaster": -5.0},
        {"diameter": 3.0, "code": "nds", "gravity": 0.0},
    ],
)
def test_figures_that_cannot_be_are_refused(given: dict) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        reckon("nail", **given)


def test_lead_hole_shows_every_source_and_chooses_one() -> None:
    results = reckon("lead-hole", gauge=8).results
    assert sorted(results["figures"].values()) == pytest.approx([1.94, 2.0, 2.33, 2.92], abs=0.01)
    assert results["lead_hole"] == 2.0 and results["clearance_hole"] == 4.4


@pytest.mark.parametrize("given", [{"hardwood": True}, {"timber": "european-oak"}, {"near_end": True}])
def test_lead_hole_in_hardwood_or_near_an_end_is_eurocode_s(given: dict) -> None:
    assert reckon("lead-hole", gauge=8, **given).results["lead_hole"] == pytest.approx(2.92, abs=0.01)


def test_lead_hole_with_nothing_given_is_assumed_and_says_so() -> None:
    reckoning = reckon("lead-hole")
    assert reckoning.results["diameter"] == pytest.approx(4.17)
    assert all(given.assumed for given in reckoning.grounds[0].inputs)


def test_lead_hole_for_a_nail() -> None:
    results = reckon("lead-hole", kind="nail", diameter=3.35, timber="european-oak").results
    assert results["lead_hole"] == pytest.approx(0.8 * 3.35, abs=0.01)
    with pytest.raises(ValueError, match="--diameter"):
        reckon("lead-hole", kind="nail")


def test_no_such_gauge() -> None:
    with pytest.raises(ValueError, match="0 to 24"):
        reckon("lead-hole", gauge=99)


@pytest.mark.parametrize(
    "words", [["nail", "--diameter", "3.35", "--length", "65", "--trim", "21"], ["lead-hole", "--gauge", "8"]]
)
def test_both_print_for_a_person(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["reckon", *words]) == 0
    printed = capsys.readouterr().out
    assert "unloaded end: 23.45" in printed or "Printed trade table, No. 8, softwood: 2" in printed

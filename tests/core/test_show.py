"""How grounds and places read in the units of a job."""

from __future__ import annotations

import pytest

from listel.core.commands.show import finding_line, grounds_lines, quantity
from listel.core.contract.findings import Finding, Grounds, Input, Where


@pytest.mark.parametrize(
    ("value", "unit", "metric", "inches"),
    [
        (76.2, "mm", "76.2 mm", '3"'),
        (0.5, "mm", "0.5 mm", "0.020 in"),
        (0.0, "mm", "0 mm", '0"'),
        (21.0, "C", "21 C", "70 F"),
        (14.0, "%", "14 %", "14 %"),
        ("100 to 200", "N", "100 to 200 N", "22.5 to 45.0 lbf"),
        ("level", "", "level", "level"),
    ],
)
def test_an_input_is_told_as_the_job_writes_it(value: float | str, unit: str, metric: str, inches: str) -> None:
    given = Input("a value", value, unit)
    assert quantity(given) == metric
    assert quantity(given, "inches") == inches


def test_a_working_is_told_as_the_job_writes_it() -> None:
    grounds = Grounds(
        (), "longer than 25.4 mm", "76.2 mm - 19 mm + 2 mm = 59.2 mm", "57.2 mm", (), uncertainty="+/- 3 mm"
    )
    told = [line.split(maxsplit=1)[1] for line in grounds_lines(grounds, units="inches")]
    assert told == ['longer than 1"', '3" - 3/4" + 1/16" = 2 5/16"', '2 1/4"', '+/- 1/8"']


def test_a_place_is_told_in_the_units_of_the_job() -> None:
    finding = Finding("some/rule", "record", "Said.", Where("Room", "A", station=609.6))
    assert finding_line(finding, "inches") == "record   some/rule (Room, wall A, at 2' 0\"): Said."
    assert "at 610 mm" in finding_line(finding)

"""The steps at the bench: panelling and shutters are made before trim is fixed."""

from __future__ import annotations

from listel.core.contract.stage import Sheet, Step, step_of
from listel.core.contract.tables import Row, load_table
from listel.core.house.filters import shown_value
from listel.core.survey.job import Job
from listel.plugins.panelling.results import Panelling
from listel.plugins.setting_out import SettingOut


def made(row: Row, sheet: Sheet) -> tuple[int, float]:
    """How many frames or pairs of boxings there are to make, and how many square metres or leaves of them, as far as
    they are reckoned."""
    panelling = sheet.get(Panelling) or Panelling()
    if row["each"] == "leaf":
        pairs = len((sheet.get(SettingOut) or SettingOut()).shuttered)
        return pairs, float(sum(2 * len(each.widths) for each in panelling.shutters))
    return len(panelling.frames), sum(panelling.faces.values())


def steps() -> list[Step]:
    """The steps of the table."""
    return [_step(row) for row in load_table(__package__, "steps")]


def _step(row: Row) -> Step:
    def applies(job: Job, sheet: Sheet) -> str:
        count, much = made(row, sheet)
        if not count:
            return ""
        if row["each"] == "leaf":
            lacking = count - len((sheet.get(Panelling) or Panelling()).shutters)
            leaves = [f"{much:g} leaves"] * bool(much)
            leaves += [f"the leaves of {lacking} window{'s' * (lacking > 1)}, whose hours are not reckoned"] * bool(
                lacking
            )
            what, one, unit = f"{count} pair{'s' * (count > 1)} of boxings; {' and '.join(leaves)}", "pair", "leaf"
        else:
            area = shown_value(round(much, 1), "m2", job.units)
            what, one, unit = f"{count} frame{'s' * (count > 1)}, {area} in all", "frame", "square metre"
        rate = f"{row['base']:g} h for each {one} and {row['more']:g} h for each {unit}"
        return f"{what}: made before any is set up. Our allowance is {rate}, to be changed under durations."

    def hours(job: Job, sheet: Sheet) -> float:
        count, much = made(row, sheet)
        return float(row["base"] * count + row["more"] * much)

    return step_of(row, applies, hours)

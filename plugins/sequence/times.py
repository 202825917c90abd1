"""How long each step takes, and how long must pass after it."""

from __future__ import annotations

from listel.core.job import Job
from listel.core.stage import Sheet
from listel.core.tables import Row, load_table
from listel.plugins.bonding import Bonding
from listel.plugins.fixings import FixingSchedule
from listel.plugins.sequence.needs import HARDWOODS
from listel.plugins.setting_out import SettingOut
from listel.plugins.timber import Movement

DRIES_SLOWER = frozenset({"seal-knots", "back-prime", "prime", "undercoat", "top-coat", "fill", "caulk", "make-good"})
"""Steps whose waits cold and damp air stretch."""


def size(job: Job, sheet: Sheet) -> dict[str, float]:
    """How big the job is: metres of trim, pieces, corners, fixings; counted from the survey where no stage gave
    them."""
    setting_out, schedule = sheet.get(SettingOut), sheet.get(FixingSchedule)
    metres = sum((to or start) - start for trim in job.trim for _, _, start, to in job.places(trim)) / 1000
    walls = sum(len(job.places(trim)) for trim in job.trim)
    return {
        "per_metre": sum(run.length for run in setting_out.runs) / 1000 if setting_out else metres,
        "per_piece": len(setting_out.pieces) if setting_out else walls,
        "per_corner": len(setting_out.corners) if setting_out else walls,
        "per_fixing": sum(line.count for line in schedule.lines) if schedule else metres / 0.4,
    }


def working_hours(row: Row, job: Job, sheet: Sheet) -> float:
    """Working hours of a step: what the person put under work, durations, else the table's figures times the job's
    size,
    shared among the people on site."""
    named = dict(job.work.durations)
    if row.name in named:
        return named[row.name]
    sizes = size(job, sheet)
    hours = row.get("base", 0.0) + sum(row.get(key, 0.0) * amount for key, amount in sizes.items())
    return round(hours / max(1, job.work.crew or 1) * 4) / 4


def slowing(job: Job) -> float:
    """How much cold and damp air on the day stretches drying: 1 where the air was not surveyed."""
    day = job.climate.day if job.climate else None
    if day is None:
        return 1.0
    table = load_table(__package__, "climate")
    factor = 1.0
    full = table.row("full-speed-temperature")["value"]
    if day.temperature is not None and day.temperature < full:
        factor *= 2 ** ((full - day.temperature) / table.row("doubling-per")["value"])
    if day.humidity is not None and day.humidity > table.row("damp-above")["value"]:
        factor *= table.row("damp-factor")["value"]
    return factor


def wait_after(step: str, job: Job, sheet: Sheet) -> tuple[float, str]:
    """Hours that must pass after a step, and what for: the longest of the products this job uses; (0, "") for none."""
    hours, why = _product_wait(step, job, sheet)
    if step in DRIES_SLOWER and hours:
        factor = slowing(job)
        if factor > 1.001:
            why += f", {factor:.1f} times as long in the air of the day"
        hours *= factor
    return round(hours, 2), why


def _product_wait(step: str, job: Job, sheet: Sheet) -> tuple[float, str]:
    if step == "adhesive":
        return 0.0, ""
    if step == "fix":
        return _cure(sheet)
    if step == "acclimatise":
        measured = _acclimatising(sheet)
        if measured[0]:
            return measured
    rows = [row for row in load_table(__package__, "waits") if row["step"] == step]
    used = [row for row in rows if row["product"] in ("", *_products(step, job, sheet))]
    if not used:
        return 0.0, ""
    longest = max(used, key=lambda row: row["high"])
    return float(longest["high"]), longest["why"]


def _products(step: str, job: Job, sheet: Sheet) -> set[str]:
    if step == "acclimatise":
        return {"mdf" if t.timber == "mdf" else "hardwood" if t.timber in HARDWOODS else "softwood" for t in job.trim}
    if step == "make-good":
        kinds = {w.substrate.kind or "" for r in job.rooms for w in r.walls if w.substrate}
        return {"lime" if kind.startswith(("lime", "battened", "cob", "straw")) else "gypsum" for kind in kinds}
    if step == "fill":
        bonding = sheet.get(Bonding)
        chosen = {fill.filler for fill in bonding.fills} if bonding else set()
        return chosen or {job.choices.filler or "two-part"}
    return {job.choices.paint or "alkyd"}


def _cure(sheet: Sheet) -> tuple[float, str]:
    """The adhesive cures after the trim is fixed; nothing is filled or sanded before it holds (the least cure time)."""
    bonding = sheet.get(Bonding)
    cures = (
        [bond.cure_hours[0] for bond in bonding.bonds if bond.cure_hours and bond.adhesive != "none"] if bonding else []
    )
    return (max(cures), "the adhesive to cure") if cures else (0.0, "")


def _acclimatising(sheet: Sheet) -> tuple[float, str]:
    movement = sheet.get(Movement)
    days = [line.wait_days[1] for line in movement.lines if line.wait_days] if movement else []
    return (24.0 * max(days), "the timber to come to the moisture of the room") if days else (0.0, "")

"""How long each step takes, and how long must pass after it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from listel.core.contract.findings import Input, Source
from listel.core.contract.stage import Sheet, hours_of_all
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.core.survey.done import STATES
from listel.core.survey.job import Job, Wall
from listel.plugins.bonding import Bonding
from listel.plugins.existing import Existing
from listel.plugins.fixings import FixingSchedule
from listel.plugins.panelling import Panelling
from listel.plugins.sequence.needs import bad_plaster
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables
from listel.plugins.timber import Movement

DRIES_SLOWER = frozenset({"seal-knots", "back-prime", "prime", "undercoat", "top-coat", "fill", "caulk", "make-good"})
"""Steps whose waits cold and damp air stretch."""

COATS = frozenset({"back-prime", "prime", "undercoat", "top-coat"})
OLD_PAINT = frozenset({"fill", "sand", "prime", "undercoat", "top-coat"})
"""Steps that old painted trim which is worked at takes as well as new."""
USUAL_PAINT = "alkyd"
"""Taken where the paint was not surveyed, or is one that trim is not painted with: the slower of the usual two."""

EDGES = frozenset({"wall-edge", "floor-edge"})


@dataclass(frozen=True)
class Wait:
    """Hours that must pass after a step, what for, and what they rest on."""

    hours: float = 0.0
    why: str = ""
    inputs: tuple[Input, ...] = ()
    sources: tuple[Source, ...] = ()


def size(job: Job, sheet: Sheet) -> dict[str, float]:
    """How big the job is: metres of trim, square metres of panelling, pieces, corners, fixings; counted from the survey
    where no stage gave them."""
    setting_out, schedule = sheet.get(SettingOut), sheet.get(FixingSchedule)
    places = [] if setting_out and schedule else [place for trim in job.trim for place in job.places(trim)]
    metres, walls = sum((to or start) - start for _, _, start, to in places) / 1000, len(places)
    old = sheet.get(Existing) or Existing()
    spliced = sum(mend.overall for mend in old.mends if mend.kind == "splice") / 1000
    return {
        "per_old_metre": sum(piece.length or 0.0 for piece in old.pieces if piece.comes_off) / 1000,
        "per_metre": spliced + (sum(run.length for run in setting_out.runs) / 1000 if setting_out else metres),
        "per_m2": sum((sheet.get(Panelling) or Panelling()).faces.values()),
        "per_piece": len(setting_out.pieces) if setting_out else walls,
        "per_corner": len(setting_out.corners) if setting_out else walls,
        "per_fixing": sum(line.count for line in schedule.lines) if schedule else metres / 0.4,
    }


def working_hours(row: Row, job: Job, sheet: Sheet) -> float:
    """Working hours of a step: the table's figures times the job's size, shared among the people on site."""
    sizes = size(job, sheet)
    if row.name in OLD_PAINT:
        old = (sheet.get(Existing) or Existing()).repainted()
        sizes["per_metre"] += sum(piece.length or 0.0 for piece in old) / 1000
    hours: float = row.get("base", 0.0) + sum(row.get(key, 0.0) * amount for key, amount in sizes.items())
    return hours_of_all(job, hours)


def share_left(step: str, job: Job, sheet: Sheet) -> float:
    """The share of the pieces set out to which a step is still to be done, 1 where no piece tells of it. Source: the
    table of steps."""
    row, set_out = load_table(__package__, "steps").find(step), sheet.get(SettingOut)
    if row is None or "told_by" not in row.values or set_out is None or not job.done.pieces:
        return 1.0
    far, made = STATES.index(row["told_by"]), job.done.made
    labels = [each.label for each in (*set_out.pieces, *set_out.returns, *set_out.splices)]
    left = [label for label in labels if label not in made or STATES.index(made[label].state) < far]
    return len(left) / len(labels) if labels else 1.0


def slowing(job: Job) -> float:
    """How much cold and damp air on the day stretches drying: 1 where the air was not surveyed."""
    day = job.climate.day
    if day is None:
        return 1.0
    table = load_table(__package__, "climate")
    factor = 1.0
    full = table.row("full-speed-temperature")["value"]
    if day.temperature is not None and day.temperature < full:
        factor *= 2 ** ((full - day.temperature) / table.row("doubling-per")["value"])
    if day.humidity is not None and day.humidity > table.row("damp-above")["value"]:
        factor *= table.row("damp-factor")["value"]
    return float(factor)


def wait_after(step: str, job: Job, sheet: Sheet) -> tuple[float, str]:
    """Hours that must pass after a step, and what for: the longest of the products this job uses; (0, "") for none."""
    wait = wait_for(step, job, sheet)
    return wait.hours, wait.why


def wait_for(step: str, job: Job, sheet: Sheet) -> Wait:
    """The wait after a step with its grounds: by product, by depth where it is known, stretched by the day's air."""
    wait = _own_wait(step, job, sheet)
    if step in DRIES_SLOWER and wait.hours:
        factor = slowing(job)
        day = job.climate.day
        if factor > 1.001:
            wait = replace(
                wait, hours=wait.hours * factor, why=f"{wait.why}, {factor:.1f} times as long in the day's air"
            )
        air = f"{day.temperature:g} C" if day and day.temperature is not None else "20 C"
        known = day is not None and day.temperature is not None
        line = job.line(day, "temperature") if day else 0
        wait = replace(wait, inputs=(*wait.inputs, Input("air of the day", air, "", line, not known)))
    return replace(wait, hours=round(wait.hours, 2))


def _own_wait(step: str, job: Job, sheet: Sheet) -> Wait:
    if step == "fix":
        return _cure(sheet)
    if step == "acclimatise":
        return _acclimatising(sheet)
    rows = [row for row in load_table(__package__, "waits") if row["step"] == step]
    depths = _depths(step, job, sheet)
    used = [row for row in rows if row["product"] in ("", *depths)]
    waits = [_by_depth(row, depths.get(row["product"])) for row in used]
    if not waits:
        return Wait()
    longest = max(waits, key=lambda wait: wait.hours)
    if step in COATS and job.choices.paint != used[0]["product"]:
        return replace(longest, inputs=(Input("paint", USUAL_PAINT, assumed=True),))
    return longest


def _by_depth(row: Row, depth: float | None) -> Wait:
    """The wait of one product: by its depth [mm] where the table gives hours for each mm and the depth is known."""
    per_mm = row.get("per_mm")
    if per_mm and depth:
        hours, why = max(row["low"], per_mm * depth), f"{row['why']}, {depth:.0f} mm deep"
        return Wait(hours, why, (Input("depth", depth, "mm"),), row.sources)
    return Wait(float(row["high"] + row.get("between", 0)), row["why"], (), row.sources)


def _depths(step: str, job: Job, sheet: Sheet) -> dict[str, float | None]:
    """The products a step uses in this job, each with its greatest depth, mm (None: it has none or it is not known)."""
    if step == "make-good":
        return _deepest((_binder(wall), wall.substrate.plaster) for _, wall in bad_plaster(job) if wall.substrate)
    if step in ("fill", "caulk"):
        bonding = sheet.get(Bonding)
        fills = [fill for fill in bonding.fills if (fill.joint in EDGES) == (step == "caulk")] if bonding else []
        usual = job.choices.filler or "two-part" if step == "fill" else job.choices.sealant or "acrylic-caulk"
        return _deepest((fill.filler, fill.depth) for fill in fills if fill.filler) or {usual: None}
    paints = {row["product"] for row in load_table(__package__, "waits") if row["step"] == step}
    return {job.choices.paint if job.choices.paint in paints else USUAL_PAINT: None}  # type: ignore[dict-item]


def _deepest(found: Iterable[tuple[str, float | None]]) -> dict[str, float | None]:
    deepest: dict[str, float | None] = {}
    for product, depth in found:
        known = deepest.setdefault(product, depth)
        deepest[product] = max(known or 0.0, depth or 0.0) or None
    return deepest


def _binder(wall: Wall) -> str:
    """What its plaster is made good with."""
    row = tables.makeup(wall)
    return "lime" if row and row.get("lime") else "gypsum"


def _cure(sheet: Sheet) -> Wait:
    """The adhesive cures after the trim is fixed; nothing is filled or sanded before it holds (the least cure time)."""
    bonding = sheet.get(Bonding)
    bonds = [bond for bond in bonding.bonds if bond.cure_hours and bond.adhesive != "none"] if bonding else []
    if not bonds:
        return Wait()
    slowest = max(bonds, key=lambda bond: bond.cure_hours[0] if bond.cure_hours else 0.0)
    hours = slowest.cure_hours[0] if slowest.cure_hours else 0.0
    return Wait(hours, "the adhesive to cure", (Input("adhesive", slowest.adhesive),), slowest.grounds.sources)


def _acclimatising(sheet: Sheet) -> Wait:
    movement = sheet.get(Movement)
    lines = [line for line in movement.lines if line.wait_days] if movement else []
    if not lines:
        return Wait()
    slowest = max(lines, key=lambda line: line.wait_days[1] if line.wait_days else 0.0)
    days = slowest.wait_days[1] if slowest.wait_days else 0.0
    why = "the timber to come to the moisture of the room"
    return Wait(24.0 * days, why, (Input("trim that waits longest", slowest.trim),), slowest.grounds.sources)

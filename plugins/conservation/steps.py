"""The step that new work beside old asks for: it is marked on its back."""

from __future__ import annotations

from listel.core.contract.stage import Sheet, Step, step_of
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job
from listel.plugins.conservation.evidence import copies
from listel.plugins.existing import NEW, Existing
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site


def copied(job: Job, sheet: Sheet) -> list[str]:
    """What may be taken for old work, by name: trims, and what is let into old trim."""
    existing, setting_out = sheet.get(Existing) or Existing(), sheet.get(SettingOut) or SettingOut()
    site = sheet.get(Site)
    names = [name for name, _ in copies(job, site, existing, setting_out)] if site else []
    return list(dict.fromkeys([*names, *(mend.label for mend in existing.mends if mend.kind in NEW)]))


def steps() -> list[Step]:
    """The step ``mark-new``."""
    row = load_table(__package__, "steps").row("mark-new")

    def applies(job: Job, sheet: Sheet) -> str:
        names = copied(job, sheet)
        return f"Nobody is to take new work for old: {', '.join(names)}." if names else ""

    def hours(job: Job, sheet: Sheet) -> float:
        names, pieces = copied(job, sheet), (sheet.get(SettingOut) or SettingOut()).pieces
        return float(row["base"] + row["per_piece"] * sum(piece.trim in names for piece in pieces))

    return [step_of(row, applies, hours)]

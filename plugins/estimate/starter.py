"""A rates file for a firm to fill in: every figure that this survey's estimate asks for, and none of ours."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

from listel.core.contract.tables import load_table
from listel.core.survey.job import Job
from listel.plugins.estimate.measures import unit_in
from listel.plugins.estimate.results import Estimate, Item

BY = {"fit": ("member", "substrate", "state"), "fixing": ("substrate",), "other-step": ("step",)}
"""What the rows of some kinds of labour are told apart by; those of ends by the member, the rest by nothing."""

HEAD = """\
# A firm's rates, to be filled in: each figure left empty is not priced. None of it comes from listel.
# A row is for whatever it does not name, and the row that names most is taken: strike out what makes no difference to
# you, as {{work: fit, hours: 0.3}} for all trim on all walls.
listel-rates: 1
firm: Your firm
currency: {currency} # three letters, as GBP, EUR or USD
units: {units} # what hours and prices of lengths and areas are for: mm, a metre; inches, a foot
# dated: 2026-01-31

wages: # money for an hour
"""

TAIL = """
order: {least: , delivery: } # the least order of timber and materials, and delivery
# overheads: 10 %
# margin: 10 %
# contingency: {share: 5 %, why: what the walls may hide}
# tax:
#   - {name: Tax on sales, rate: 20 %, why: your own reason; nothing is inferred}
"""


def starter(job: Job, found: Estimate) -> str:
    """The file's text, for the kinds of work, trim, walls and materials of this job."""
    labour = [item for item in found.items if item.kind == "labour"]
    parts = [HEAD.format(currency=job.cutting.currency or "", units=found.units)]
    parts += [f"  {trade}:\n" for trade in dict.fromkeys(item.trade for item in labour)]
    parts += ["\nlabour: # hours for one\n", *_rows(_labour_row(item) for item in labour)]
    timber = [item for item in found.items if item.kind == "timber" and item.member]
    if timber:
        parts += [f"\ntimber: # {unit_in('m', found.units)}, where the survey's stock gives no price\n"]
        parts += _rows(f"{{member: {item.member}, price: }}" for item in timber)
    materials = [item for item in found.items if item.kind == "material"]
    if materials:
        parts += ["\nmaterials: # the price of so many (per) sold together, by the words the name begins with\n"]
        parts += _rows(_material_row(item) for item in materials)
    charges = [item for item in found.items if item.kind in ("hire", "waste", "preliminaries")]
    if charges:
        parts += [
            f"\ncharges: # per: job, room, day, week or {unit_in('m', found.units)}\n",
            *_rows(_charge_row(item, job) for item in charges),
        ]
    return "".join([*parts, TAIL])


def _rows(rows: Iterable[str]) -> Iterator[str]:
    return (f"  - {row}\n" for row in dict.fromkeys(rows))


def _labour_row(item: Item) -> str:
    keys = BY.get(item.work, ("member",) if item.trim and item.trade == "joiner" else ())
    told = "".join(f", {key}: {getattr(item, key)}" for key in keys if getattr(item, key))
    one = item.what if item.step else load_table(__package__, "works").row(item.work)["says"]
    return f"{{work: {item.work}{told}, hours: }} # {one}, {item.unit}"


def _material_row(item: Item) -> str:
    return f"{{what: {json.dumps(item.what, ensure_ascii=False)}, unit: {item.unit}, per: 1, price: }}"


def _charge_row(item: Item, job: Job) -> str:
    what = json.dumps(item.what, ensure_ascii=False)
    if item.kind == "hire":
        return f"{{kind: hire, what: {what}, access: {job.work.access}, per: week, price: }}"
    step = f", step: {item.work}" if item.kind == "preliminaries" else ""
    return f"{{kind: {item.kind}, what: {what}{step}, price: }}"

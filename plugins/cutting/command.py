"""``listel cutting SURVEY``: the cutting list, for the bench, as CSV, and what goes back on the rack."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from typing import Any

from listel.core.commands.run import add_run_arguments, examined, inputs
from listel.core.commands.show import finding_line, print_json, spoken
from listel.core.contract.lines import plain
from listel.core.files import refuse_outputs, write_all
from listel.core.host.outcome import Outcome
from listel.core.house.filters import money
from listel.core.survey.units import show_length
from listel.plugins.cutting.files import cuts_csv, rack_yaml
from listel.plugins.cutting.results import CutBoard, CuttingList, TrimCutting
from listel.plugins.cutting.search import WATCH, Watch
from listel.plugins.defects import DefectChecks
from listel.plugins.panelling import Panelling

QUIET = 1.0
"""Seconds before progress is shown."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    add_run_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--open", action="store_true", help="only trims of which pieces are still to cut")
    parser.add_argument("--out", type=Path, metavar="CUTS.csv", help="write every cut as CSV")
    parser.add_argument("--rack-out", type=Path, metavar="RACK.yaml", help="write what is left, as a survey's rack")


def run(arguments: argparse.Namespace) -> int:
    """Print or write the cutting list: the plan of the statement. Exit status 1 while a hold is open, 2 where no list
    could be made; then no file is touched. Ctrl-C keeps the best plan so far."""
    refuse_outputs([path for path in (arguments.out, arguments.rack_out) if path is not None], inputs(arguments))
    shown = _Shown() if sys.stderr.isatty() else None
    token = WATCH.set(Watch(shown.tell if shown is not None else None, keep_best=True))
    try:
        outcome = examined(arguments.survey, arguments)
    finally:
        WATCH.reset(token)
        if shown is not None:
            shown.end()
    found = outcome.sheet.get(CuttingList)
    if found is not None and arguments.open:
        found = CuttingList(tuple(line for line in found.lines if line.boards or line.unmade))
    if found is None:
        print(f"No cutting list could be made, and no file was written. {_why(outcome)}", file=sys.stderr)
        return 2
    checks = outcome.sheet.get(DefectChecks) or DefectChecks()
    files = [(arguments.out, cuts_csv(outcome.job, found, outcome.sheet.get(Panelling)))] if arguments.out else []
    files += [(arguments.rack_out, rack_yaml(outcome.job, checks, found))] if arguments.rack_out else []
    write_all(files)
    if arguments.json:
        print_json(_form(outcome, found))
    else:
        with spoken(outcome.job):
            _print(outcome, found)
    return 1 if outcome.holds else 0


def _why(outcome: Outcome) -> str:
    """What went wrong with the stages, in their own words."""
    return " ".join(f"{entry.stage}: {entry.fault}" for entry in outcome.ran if entry.fault)


def _form(outcome: Outcome, found: CuttingList) -> dict[str, Any]:
    about = [f for f in outcome.findings if f.rule.split("/")[0] in ("cutting", "defects") or f.open_hold]
    return {
        "trims": [plain(line) for line in found.lines],
        "total": {
            "metres": round(sum(line.metres for line in found.lines), 3),
            "boards": sum(purchase.count for line in found.lines for purchase in line.bought),
            "cost": round(sum(line.cost for line in found.lines if line.priced), 2),
            "currency": outcome.job.cutting.currency,
            "unpriced": [line.trim for line in found.lines if not line.priced],
        },
        "frames": plain(panelling := outcome.sheet.get(Panelling) or Panelling()),
        "stuff": [plain(each) for each in panelling.stuff],
        "findings": [plain(finding) for finding in about],
    }


def _print(outcome: Outcome, found: CuttingList) -> None:
    units = outcome.job.units
    for line in found.lines:
        _print_trim(line, units, outcome.job.cutting.currency or "")
    panelling = outcome.sheet.get(Panelling) or Panelling()
    for frame in panelling.frames:
        print(f"{frame.trim}, for the bench: frame {frame.label}, {frame.room}, wall {frame.wall}")
        for part in panelling.parts_of(frame.label):
            sizes = (part.length, part.width, *(() if part.thickness is None else (part.thickness,)))
            print(f"  {part.count} {part.part}: {' x '.join(show_length(size, units) for size in sizes)}")
    for each in panelling.stuff:
        longest = show_length(each.longest, units)
        print(f"{each.named(units)}: {each.count}, the longest {longest}, {each.in_all(units)} in all")
    if not (found.lines or panelling.frames):
        print("No pieces to cut: no trim has a place to go that old trim does not hold, or none with a length.")
    for finding in outcome.findings:
        if finding.rule.startswith("cutting/") or finding.open_hold:
            print(finding_line(finding, units))


def _print_trim(line: TrimCutting, units: Any, currency: str) -> None:
    cut = show_length(line.metres * 1000, units) if units == "inches" else f"{line.metres:.2f} m"
    print(
        f"{line.trim}: {cut} cut, {line.waste_share:.1%} lost"
        if line.boards
        else f"{line.trim}: no board to cut it from"
    )
    for board in line.boards:
        cuts = ", ".join(
            f"{cut.piece} {show_length(cut.start, units)}-{show_length(cut.end, units)}" for cut in board.cuts
        )
        print(f"  {_titled(board, units)}: {cuts}")
    for purchase in line.bought:
        price = f" at {money(purchase.price, currency)}" if purchase.price is not None else ""
        print(f"  buy {purchase.count} of {show_length(purchase.length, units)}{price}")
    for wanted in line.wanted:
        longest, length = show_length(wanted.longest, units), show_length(wanted.length, units)
        print(f"  no board gives {wanted.count} of {wanted.sized(units)}, the longest {longest}, {length} in all")
    if line.boards:
        cost = money(line.cost, currency) if line.priced else f"{show_length(line.cost, units)} of new boards"
        print(f"  cost {cost}: {line.claim}; {line.saved}")
    for note in line.notes:
        print(f"  {note}")


def _titled(board: CutBoard, units: Any) -> str:
    return board.board if board.bought else f"{board.board} (rack, {show_length(board.length, units)})"


class _Shown:
    """Progress on the terminal, once the search has taken a while."""

    def __init__(self) -> None:
        self.begun = time.monotonic()
        self.status: Any = None

    def tell(self, objective: str, value: int, bound: int) -> None:
        """Show how far the search is."""
        if time.monotonic() - self.begun < QUIET:
            return
        if self.status is None:
            from rich.console import Console

            self.status = Console(stderr=True).status("cutting list")
            self.status.start()
        share = f", within {(value - bound) / bound:.3%}" if bound else ""
        spent = f"{time.monotonic() - self.begun:.0f} s"
        self.status.update(f"{objective}: {value}, bound {bound}{share}; {spent} (Ctrl-C keeps the best so far)")

    def end(self) -> None:
        """Take it off again."""
        if self.status is not None:
            self.status.stop()

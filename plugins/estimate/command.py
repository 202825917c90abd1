"""``listel estimate SURVEY``: what the work costs by a firm's own rates, for the client, the office or the site."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from listel.core.commands.run import add_run_arguments, examined, inputs
from listel.core.commands.show import finding_line, print_json, spoken
from listel.core.contract.lines import plain
from listel.core.files import refuse_outputs, write_all
from listel.core.host.outcome import Outcome
from listel.core.survey.faults import InputFault
from listel.plugins.estimate.beside import Difference, alternatives, differences, other_outcome
from listel.plugins.estimate.files import PARTS, as_file, blanked
from listel.plugins.estimate.fitted import Fit, fitted
from listel.plugins.estimate.rates import Rates, add_rates_argument, given_rates
from listel.plugins.estimate.results import Estimate
from listel.plugins.estimate.shown import shown, shown_beside, shown_fit
from listel.plugins.estimate.starter import starter


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    add_run_arguments(parser)
    add_rates_argument(parser)
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument(
        "--out", type=Path, metavar="FILE", help="write it as .csv, or as .xlsx (needs: pip install 'listel[office]')"
    )
    parser.add_argument("--for", dest="part", choices=PARTS, default="office", help="whose part (default: office)")
    parser.add_argument("--blank", action="store_true", help="a schedule of the work without figures, to be filled in")
    parser.add_argument(
        "--with", dest="beside", type=Path, metavar="OTHER", help="another survey, or house rules, to price beside it"
    )
    parser.add_argument(
        "--alternatives", action="store_true", help="price each choice of stock length, and repair against replacement"
    )
    parser.add_argument(
        "--fit", type=Path, nargs="+", default=[], metavar="FILE", help="other finished jobs: propose rates by them all"
    )
    parser.add_argument(
        "--rates-new", type=Path, metavar="FILE", help="only write a rates file to fill in, for this survey"
    )


def run(arguments: argparse.Namespace) -> int:
    """Print or write the estimate. Gives 1 while a hold is open, else 0."""
    outputs = [path for path in (arguments.out, arguments.rates_new) if path is not None]
    refuse_outputs(outputs, [*inputs(arguments), *arguments.fit])
    _judge(arguments)
    rates = () if arguments.blank else given_rates(arguments)
    outcome = examined(arguments.survey, arguments, rates)
    found = _estimate(outcome)
    beside = _beside(arguments, outcome, rates)
    fit = _fit(arguments, found, rates)
    found = blanked(found) if arguments.blank else found
    files = [(arguments.out, as_file(arguments.out.suffix, found, arguments.part))] if arguments.out else []
    if arguments.rates_new:
        files.append((arguments.rates_new, starter(outcome.job, found)))
    write_all(files)
    if arguments.json:
        print_json(_form(found, beside, fit))
    else:
        _print(outcome, found, beside, fit, arguments)
    return 1 if outcome.holds else 0


def _judge(arguments: argparse.Namespace) -> None:
    """Raises InputFault for options that ask what cannot be done."""
    if arguments.out and arguments.out.suffix not in (".csv", ".xlsx"):
        raise InputFault(f"{arguments.out}: the estimate is written as .csv or .xlsx")
    if arguments.rates_new and arguments.rates_new.exists():
        raise InputFault(f"{arguments.rates_new}: there is a file already, and a firm's rates are not written over")
    if arguments.blank and arguments.part == "client":
        raise InputFault("--blank is a schedule of work for others to fill in; a client's part has only amounts")


def _estimate(outcome: Outcome) -> Estimate:
    found = outcome.sheet.get(Estimate)
    if found is None:
        raise InputFault(" ".join(f"{entry.stage}: {entry.fault}" for entry in outcome.ran if entry.fault))
    return found


def _beside(
    arguments: argparse.Namespace, outcome: Outcome, rates: Sequence[Rates]
) -> dict[str, tuple[Difference, ...]]:
    """What each alternative would cost, room by room, by its name."""
    if not (arguments.beside or arguments.alternatives):
        return {}
    if not rates:
        raise InputFault("alternatives are told by their prices: name the firm's rates by --rates")
    this = _estimate(outcome)
    found = {}
    if arguments.beside:
        other = other_outcome(arguments.beside, arguments, rates)
        found[arguments.beside.name] = differences(this, _estimate(other))
    if arguments.alternatives:
        for name, other in alternatives(outcome, arguments, rates):
            found[name] = differences(this, _estimate(other))
    return found


def _fit(arguments: argparse.Namespace, found: Estimate, rates: Sequence[Rates]) -> Fit | None:
    if not arguments.fit:
        return None
    jobs = [found, *(_estimate(examined(path, arguments, rates)) for path in arguments.fit)]
    return fitted(jobs, rates[0] if rates else None)


def _form(found: Estimate, beside: dict[str, tuple[Difference, ...]], fit: Fit | None) -> dict[str, Any]:
    form: dict[str, Any] = plain(found)
    if beside:
        form["beside"] = plain(beside)
    if fit is not None:
        form["fit"] = plain(fit)
    return form


def _print(
    outcome: Outcome,
    found: Estimate,
    beside: dict[str, tuple[Difference, ...]],
    fit: Fit | None,
    arguments: argparse.Namespace,
) -> None:
    if arguments.rates_new is None:
        with spoken(outcome.job):
            for line in (*shown(found, arguments.part), *shown_beside(beside, found.currency), *shown_fit(fit)):
                print(line)
            for finding in outcome.findings:
                if finding.rule.startswith("estimate/") or (finding.open_hold and arguments.part == "site"):
                    print(finding_line(finding, outcome.job.units))
    for path in (arguments.out, arguments.rates_new):
        if path is not None:
            print(f"written    {path}")

"""``listel estate FOLDER``: every survey in it examined, its statement written, its timber pooled with the others'."""

from __future__ import annotations

import argparse
import json
import os
import re
import signal
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from typing import Any

from listel.core.commands.run import add_plugin_arguments, firm_of, inputs
from listel.core.commands.show import print_json
from listel.core.contract.lines import form_of, of_plain, plain
from listel.core.files import refuse_outputs, write_all
from listel.core.host.outcome import Given
from listel.core.house.filters import money
from listel.core.survey.faults import InputFault
from listel.core.survey.yaml_places import text_of
from listel.plugins.cutting import PooledTrim, Share
from listel.plugins.estimate import add_rates_argument, given_rates
from listel.reports.estate import tables
from listel.reports.estate.estimate import OverAll, over_all
from listel.reports.estate.house import House, Task, examined, file_digest, made_of
from listel.reports.estate.pages import pages
from listel.reports.estate.programme import calendar, spells
from listel.reports.estate.sisters import slips
from listel.reports.estate.timber import UNREAD, lots, planned, shares_file
from listel.reports.estate.work import Asked, Got, worked

A_SURVEY = re.compile(r'^ ?"?(job|rooms)"?:|\A\s*\{.*"rooms"\s*:', re.MULTILINE)
"""By this a file among others is known for a survey, however broken the rest of it is."""
FOLDER = "estate"
STOPPED = 130
"""Exit status after Ctrl-C."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    parser.add_argument("places", nargs="+", type=Path, metavar="FOLDER", help="folders of surveys, or surveys")
    add_plugin_arguments(parser)
    add_rates_argument(parser)
    parser.add_argument("--out", type=Path, metavar="FOLDER", help=f"where all goes (default: {FOLDER} in the first)")
    parser.add_argument("--jobs", type=_number, default=os.cpu_count() or 1, metavar="N", help="processes at work")
    parser.add_argument(
        "--scheduler",
        default="",
        metavar="ADDRESS",
        help="a Dask cluster (needs: pip install 'listel[cluster]')",
    )
    parser.add_argument("--by-street", action="store_true", help="buy and cut for each street by itself")
    parser.add_argument("--by-date", action="store_true", help="cut first for the house whose work begins first")
    parser.add_argument("--crews", type=_number, default=1, metavar="N", help="crews for the programme (default: 1)")
    parser.add_argument("--xlsx", action="store_true", help="write the tables as a workbook too")
    parser.add_argument("--json", action="store_true", help="print what came of it as JSON")


def _number(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 10_000:
        raise argparse.ArgumentTypeError(f"{text!r} is no whole number from 1")
    return int(text)


def run(arguments: argparse.Namespace) -> int:
    """Examine all that changed, and write what came of it. Gives 2 where a survey could not be examined, 1 while a hold
    is open, 130 where it was stopped, else 0. What workers are told has whole paths: a cluster's stand elsewhere."""
    out = arguments.out or (arguments.places[0] if arguments.places[0].is_dir() else Path()) / FOLDER
    for named in (arguments.plugin, arguments.house):
        named[:] = [file.absolute() for file in named]
    firm, given = firm_of(arguments), given_rates(arguments)
    at_work = (firm.digest, form_of(House), form_of(Share), *(each.digest for each in given))
    tasks = list(_tasks(arguments.places, out, at_work))
    for folder in (out / "houses", out / "kept", out / "lots"):
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputFault(f"{folder}: it cannot be written: {error.strerror or error}") from None
    kept = {task.name: house for task in tasks if (house := _kept(out, task)) is not None}
    asked = [task for task in tasks if task.name not in kept]
    houses = dict(kept)
    try:
        with _shown("houses", len(asked)) as shown:
            for task, got in _done(asked, partial(_one, firm=firm, given=given, out=out.absolute()), arguments):
                houses[task.name] = _told(task, got)
                shown(task.name)
        ordered = [houses[task.name] for task in tasks]
        timber = list(_timber(ordered, out.absolute(), arguments))
    except KeyboardInterrupt:
        done = sum(_kept(out, task) is not None for task in tasks)
        says = f"{done} of {len(tasks)} houses are done, and kept in {out}; run it again to go on"
        print(f"stopped; {says}", file=sys.stderr)
        return STOPPED
    found = spells(ordered, arguments.crews)
    said = slips(ordered, {task.name: task.text for task in tasks})
    priced = over_all(ordered, timber, given[0] if given else None)
    told = tables.tables(ordered, timber, priced, found)
    files: list[tuple[Path, str | bytes]] = list(pages(ordered, timber, priced, found, arguments.crews, said))
    files += [(Path(f"{table.name.replace(' ', '-')}.csv"), tables.as_csv(table)) for table in told]
    files += [(Path("programme.ics"), calendar(found).encode())] if found else []
    files += [(Path("estate.xlsx"), tables.as_workbook(told))] if arguments.xlsx else []
    refuse_outputs([out / name for name, _ in files], [*inputs(arguments), *(task.path for task in tasks)])
    write_all((out / name, content) for name, content in files)
    if arguments.json:
        print_json(_form(ordered, timber, priced, len(asked), said))
    else:
        _account(ordered, timber, priced, len(asked), said, out)
    return 2 if any(house.fault for house in ordered) else 1 if any(house.holds for house in ordered) else 0


def _tasks(places: Sequence[Path], out: Path, at_work: Iterable[str]) -> Iterator[Task]:
    """Every survey there is in these places, each under a name that no other has. Raises InputFault for a place that is
    not there, and where there is no survey at all."""
    names: dict[str, Path] = {}
    for path, under in _surveys(places, out):
        inner = path.relative_to(under).with_suffix("")
        name = "-".join(inner.parts)
        if names.setdefault(name, path) != path:
            name = f"{name}-{sha256(str(path.resolve()).encode()).hexdigest()[:6]}"
            names[name] = path
        street = inner.parent.as_posix() if inner.parent.parts else ""
        try:
            text, fault = text_of(path, "survey"), ""
        except InputFault as unread:
            text, fault = "", str(unread)
        yield Task(
            name=name,
            street=street,
            path=path,
            folder=path.parent.absolute(),
            text=text,
            made_of=made_of(text, *at_work),
            fault=fault,
        )
    if not names and any(place.resolve().is_relative_to(out.resolve()) for place in places):
        raise InputFault(
            f"{out}: nothing is looked at in the folder that --out names; name another for what comes of it"
        )
    if not names:
        raise InputFault(f"{places[0]}: there is no survey here: a .yaml file that begins with its job")


def _surveys(places: Sequence[Path], out: Path) -> Iterator[tuple[Path, Path]]:
    """Each survey once, and the place it was found under."""
    seen: set[Path] = set()
    for place in places:
        if not place.exists():
            raise InputFault(f"{place}: there is no such folder or survey")
        inside = sorted(_inside(place), key=_as_counted) if place.is_dir() else [place]
        for path in inside:
            known = place.is_file() or (
                path.suffix in (".yaml", ".yml")
                and (path.is_file() or path.is_symlink())
                and not path.resolve().is_relative_to(out.resolve())
                and _looks_like_one(path)
            )
            if known and path.resolve() not in seen:
                seen.add(path.resolve())
                yield path, place if place.is_dir() else path.parent


def _inside(place: Path) -> Iterator[Path]:
    """Every file below a folder, by links too; no folder twice, and its own name before a link to it."""
    seen = {place.resolve()}
    for folder, inside, files in os.walk(place, followlinks=True):
        found = {Path(folder, name).resolve(): name for name in sorted(inside, reverse=True)}
        inside[:] = [name for real, name in found.items() if real not in seen]
        seen |= found.keys()
        yield from (Path(folder, name) for name in files)


def _looks_like_one(path: Path) -> bool:
    """Whether a file is a survey by its look; one that cannot be opened may be, and is told."""
    try:
        return bool(A_SURVEY.search(path.read_text("utf-8", errors="replace")))
    except OSError:
        return True


def _as_counted(path: Path) -> list[tuple[int, str]]:
    """The order in which people count houses: number 2 before number 11."""
    parts = re.split(r"(\d+)", path.as_posix())
    return [(int(part), "") if part.isdecimal() else (0, part.casefold()) for part in parts]


def _kept(out: Path, task: Task) -> House | None:
    """What was kept of a house, if it was made of the same; anything odd is made anew."""
    try:
        page, kept, timber = _files(out, task.name)
        house: House = of_plain(House, json.loads(kept.read_text("utf-8")))
        files = {timber: house.timber, **{task.folder / file: digest for file, digest in house.photos}}
        same = house.made_of == task.made_of and all(file_digest(path) == digest for path, digest in files.items())
        return house if same and page.is_file() else None
    except UNREAD:
        return None


def _one(task: Task, firm: Any, given: tuple[Given, ...], out: Path) -> House:
    """One house examined, its statement and what is kept of it written, by a worker."""
    came = examined(task, firm, given)
    page, kept, timber = _files(out, task.name)
    if came.house.fault:
        for file in (page, kept, timber):
            file.unlink(missing_ok=True)
        return came.house
    shares = json.dumps(plain(came.shares))
    house = replace(came.house, timber=sha256(shares.encode()).hexdigest())
    write_all([(page, came.html), (timber, shares), (kept, json.dumps(plain(house)))])
    return house


def _files(out: Path, name: str) -> tuple[Path, Path, Path]:
    """A house's statement, what is kept of it, and what it asks of each trim."""
    return out / "houses" / f"{name}.html", out / "kept" / f"{name}.json", shares_file(out, name)


def _timber(houses: Sequence[House], out: Path, arguments: argparse.Namespace) -> Iterator[PooledTrim]:
    """The timber of all houses, lot by lot, or of one street after another."""
    told = list(lots(houses, out, arguments.by_street, arguments.by_date))
    found: dict[Path, tuple[PooledTrim, ...]] = {}
    with _shown("lots of timber", len(told)) as shown:
        for lot, got in _done(told, partial(planned, out=out, by_date=arguments.by_date), arguments):
            if isinstance(got, Exception):
                raise got
            found[lot.kept] = got
            shown(lot.name)
    for lot in told:
        yield from found[lot.kept]


def _done(
    asked: Sequence[Asked], work: Callable[[Asked], Got], arguments: argparse.Namespace
) -> Iterator[tuple[Asked, Got | Exception]]:
    """Each of what is asked with what came of it, as it comes."""
    if arguments.jobs == 1 and not arguments.scheduler:
        for one in asked:
            yield one, _tried(work, one)
    elif asked:
        with _executors(arguments.scheduler) as executor:
            yield from worked(asked, work, arguments.jobs, executor)


def _tried(work: Callable[[Asked], Got], one: Asked) -> Got | Exception:
    try:
        return work(one)
    except Exception as error:
        return error


def _told(task: Task, got: House | Exception) -> House:
    if isinstance(got, House):
        return got
    fault = f"{task.path}: {got}" if str(got) else f"{task.path}: {type(got).__name__}"
    return House(name=task.name, street=task.street, survey=str(task.path), made_of="", fault=fault)


@contextmanager
def _executors(address: str) -> Iterator[Callable[[int], Executor]]:
    """What makes an executor: of this machine's processes, or of a cluster's. Raises InputFault without Dask, and where
    no scheduler answers."""
    if not address:
        from concurrent.futures import ProcessPoolExecutor

        yield lambda workers: ProcessPoolExecutor(workers, initializer=_ignore_keyboard)
        return
    try:
        distributed: Any = import_module("distributed")
    except ImportError as error:
        raise InputFault("a cluster needs Dask: pip install 'listel[cluster]'") from error
    try:
        client = distributed.Client(address)
    except (OSError, ValueError) as error:
        raise InputFault(f"{address}: no scheduler answers there: {error}") from error
    with client:
        yield lambda workers: client.get_executor()


def _ignore_keyboard() -> None:
    """Ctrl-C is the host's matter: it ends the workers."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _shown(what: str, many: int) -> Iterator[Callable[[str], None]]:
    """Progress on a terminal."""
    if not many or not sys.stderr.isatty():
        yield lambda name: None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as progress:
        bar = progress.add_task(what, total=many)
        yield lambda name: progress.update(bar, advance=1, description=f"{what}: {name}" if name else what)


def _form(
    houses: Sequence[House],
    timber: Sequence[PooledTrim],
    priced: OverAll | None,
    examined_now: int,
    said: Sequence[str],
) -> dict[str, Any]:
    return {
        "examined": examined_now,
        "houses": [
            {
                "house": house.name,
                "street": house.street,
                "fault": house.fault,
                "holds": plain(house.holds),
                "missing": plain(house.lacking),
                "digest": house.digest,
                "total": house.total,
            }
            for house in houses
        ],
        "timber": [
            {
                "trim": line.trim,
                "lot": line.lot,
                "alike": list(line.alike),
                "houses": list(line.houses),
                "cost": round(line.cost, 2),
                "alone": round(line.alone, 2),
                "bound": round(line.bound, 2),
                "priced": line.priced,
                "bought": plain(line.bought),
                "unmade": plain(line.unmade),
                "shares": plain(line.shares),
            }
            for line in timber
        ],
        "estimate": priced and {**plain(priced), "together": priced.together},
        "slips": list(said),
    }


def _account(
    houses: Sequence[House],
    timber: Sequence[PooledTrim],
    priced: OverAll | None,
    examined_now: int,
    said: Sequence[str],
    out: Path,
) -> None:
    held, unread = sum(bool(house.holds) for house in houses), [house for house in houses if house.fault]
    print(f"houses     {len(houses)}, {examined_now} looked at now; {held} held, {len(unread)} that cannot be examined")
    for house in unread:
        print(f"fault      {house.survey}")
        print("\n".join(f"           {line}" for line in house.fault.splitlines()))
    for one in said:
        print(f"note       {one}")
    for line in timber:
        many = len(line.houses)
        whose = f"{many} houses together, {_cost(line, line.alone)} apart" if many > 1 else line.houses[0]
        lot = f" ({line.lot})" if line.lot else ""
        print(f"timber     {line.trim}, {line.alike[1]}: {_cost(line, line.cost)} for {whose}{lot}")
    if priced:
        apart = f"; {money(priced.apart, priced.currency)} with each house's timber by itself" if priced.saved else ""
        print(f"estimate   {money(priced.together, priced.currency)}{apart}")
    print(f"written    {out / 'index.html'}")


def _cost(line: PooledTrim, cost: float) -> str:
    return money(cost, line.currency) if line.priced else f"{cost:.0f} mm of boards"

"""``listel survey``: start a new survey, read one back with what it lacks, draw its rooms, or print a form for the
site."""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from listel.core.commands.run import add_plugin_arguments, firm_of, inputs, survey_schema_of
from listel.core.commands.show import print_json, spoken
from listel.core.commands.waiting import waiting
from listel.core.files import beside, refuse_outputs, write_all, write_whole
from listel.core.survey.faults import InputFault
from listel.core.survey.job import Job, Room
from listel.core.survey.messages import Fault
from listel.core.survey.units import show_length

if TYPE_CHECKING:
    from listel.plugins.closure import Closures

_PLACES_SHOWN = 6


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The words and options of ``listel survey``."""
    parser.usage = (
        "listel survey SURVEY [--json] [--sheet [--out FILE]] [--shape [--out FOLDER]]\n"
        "       listel survey new NAME.yaml\n"
        "       listel survey --schema"
    )
    parser.add_argument(
        "words", nargs="*", metavar="SURVEY", help="the survey file (YAML); or `new NAME.yaml` to start one"
    )
    parser.add_argument(
        "--sheet",
        action="store_true",
        help="write a form to fill in by pencil on site (HTML; with --out FILE.pdf a PDF)",
    )
    parser.add_argument("--shape", action="store_true", help="draw each room as it was listed (SVG), to look at")
    parser.add_argument(
        "--out", type=Path, metavar="PLACE", help="where the form or the drawings go (default: beside the survey)"
    )
    parser.add_argument(
        "--schema", action="store_true", help="print the form of a survey as JSON Schema, with every word, for editors"
    )
    add_plugin_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print what was read and what is missing as JSON")


def run(arguments: argparse.Namespace) -> int:
    """Do what was asked; 0. Raises InputFault where the survey cannot be read or a file cannot be written."""
    words: list[str] = arguments.words
    if arguments.schema:
        return _print_schema(survey_schema_of(arguments))
    if len(words) == 2 and words[0] == "new":
        return _start(Path(words[1]))
    if len(words) != 1:
        raise InputFault("name one survey file, or: listel survey new NAME.yaml")
    path = Path(words[0])
    if arguments.sheet:
        return _sheet(path, arguments)
    if arguments.shape:
        return _shapes(path, arguments)
    return _account(path, arguments)


def _start(path: Path) -> int:
    if path.exists():
        raise InputFault(f"{path}: there is a file of this name, and it stays as it is; choose another name")
    write_whole(path, beside("listel.schemas", "starter.yaml").read_text(encoding="utf-8"))
    print(f"{path} is begun; fill it in, then: listel survey {path}")
    return 0


def _print_schema(schema: dict[str, Any]) -> int:
    from listel.core.survey.words import for_editors

    print_json(for_editors(schema))
    return 0


def _sheet(path: Path, arguments: argparse.Namespace) -> int:
    from listel.core.survey.reading import read_survey
    from listel.reports.papers.form import written

    target = arguments.out or path.with_name(f"{path.stem}-form.html")
    if target.is_dir():
        target = target / f"{path.stem}-form.html"
    refuse_outputs([target], [path, *inputs(arguments)])
    with waiting("survey"):
        schema = survey_schema_of(arguments)
        write_whole(target, written(read_survey(path, schema), target.suffix, schema))
    print(target)
    return 0


def _shapes(path: Path, arguments: argparse.Namespace) -> int:
    """Each room as it was listed, a drawing a file."""
    from listel.core.survey.reading import read_survey
    from listel.plugins.closure import closures_of
    from listel.plugins.site import site_of
    from listel.reports.drawings.shape import shape

    job = read_survey(path, survey_schema_of(arguments))
    folder, closures, site = arguments.out or path.parent, closures_of(job), site_of(job)
    drawings: dict[Path, str] = {}
    for number, room in enumerate(job.rooms, 1):
        words = "-".join(re.findall(r"[a-z0-9]+", room.name.lower())) or "room"
        drawing = shape(site.rooms[room.name], job.units, closures.of(room.name))
        drawings[folder / f"{path.stem}-{number}-{words[:60]}.svg"] = drawing.svg
    refuse_outputs(drawings, [path, *inputs(arguments)])
    write_all(drawings.items())
    print("\n".join(map(str, drawings)))
    return 0


def _account(path: Path, arguments: argparse.Namespace) -> int:
    from listel.core.house.filters import alike
    from listel.core.survey.missing import missing_facts
    from listel.core.survey.photographs import photographs
    from listel.core.survey.reading import job_of
    from listel.core.survey.yaml_places import read_document
    from listel.plugins.closure import closures_of
    from listel.reports.read_back import own_in_words

    def slips(job: Job) -> list[Fault]:
        return firm_of(arguments).slips(job) if job.records or job.departures else []

    with waiting("survey"):
        document, schema = read_document(path), survey_schema_of(arguments)
        job = job_of(document, path.name, schema, slips)
        missing, closures = missing_facts(document, schema), closures_of(job)
    if arguments.json:
        from listel.core.contract.lines import plain
        from listel.core.survey.data import survey_data

        told = {"read": _counts(job), "taken": plain(job.taken), "missing": plain(missing), "survey": survey_data(job)}
        print_json(told)
        return 0
    print(f"{path}: {job.title}")
    print("read: " + ", ".join(f"{word} {count}" for word, count in _counts(job).items()))
    with spoken(job):
        _read_back(job, closures)
    for place, says in own_in_words(job, schema):
        print(f"  {place}: {says}")
    for (said, meant), same in alike(job.taken, "said", "meant"):
        count = len(same) - 1
        more = f", and {count} place{'s' if count > 1 else ''} more" if count else ""
        print(f"  read {said} as {meant} (line {same[0].line}: {same[0].where}{more})")
    for each in photographs(job, path.parent).photos:
        if each.fault:
            print(f"  photograph {each.photo.name} is not shown (line {job.line(each.photo, 'file')}): {each.fault}")
    if not missing:
        print("nothing that decides anything is missing")
        return 0
    print("\nnot surveyed, and what each fact would decide:")
    for one in missing:
        print(f"  {one.fact}: {one.decides}")
        for place, line in one.places[:_PLACES_SHOWN]:
            if place and line:
                print(f"      line {line}: {place}")
        if len(one.places) > _PLACES_SHOWN:
            print(f"      and {len(one.places) - _PLACES_SHOWN} places more")
    return 0


def _counts(job: Job) -> dict[str, Any]:
    walls = [wall for room in job.rooms for wall in room.walls]
    openings = [opening for wall in walls for opening in wall.openings]
    old = [len(wall.existing) for wall in walls] + [len(opening.existing) for opening in openings]
    old += [len(flight.existing) for room in job.rooms for flight in room.stairs]
    return {
        "rooms": len(job.rooms),
        "walls": len(walls),
        "openings": len(openings),
        "fittings": sum(len(wall.fittings) + len(wall.behind) for wall in walls),
        "old pieces": sum(old),
        "photographs": len(job.photos),
        "trims": len(job.trim),
        "boards": len(job.stock) + len(job.rack),
        "records": len(job.records),
        "steps of a plan": len(job.plan),
        "departures": len(job.departures),
    }


def _read_back(job: Job, closures: Closures) -> None:
    """The rooms with their flights, the trims and the ways through, as they were read."""
    from listel.reports.read_back import flights_in_words, read_back, trims_in_words, ways_through

    for room in job.rooms:
        print(f"  {_room_words(room, job)}")
        print(f"    {read_back(room, job.units)}")
        for flight in flights_in_words(job, room):
            print(f"    {flight}")
        closure = closures.of(room.name)
        if closure and closure.closed is not None:
            print(f"    {closure.says}")
        for apart in closure.apart if closure else ():
            print(f"    {apart}")
    for trim in trims_in_words(job):
        print(f"  {trim}")
    for way in ways_through(job):
        print(f"  {way}")


def _room_words(room: Room, job: Job) -> str:
    walls = ", ".join(wall.name for wall in room.walls) or "no walls"
    taped = [wall.length.value for wall in room.walls if wall.length]
    words = [f"{room.name}: {walls}"]
    if taped:
        words.append(f"{show_length(sum(taped), job.units)} of wall taped")
    if room.height:
        low, high = (show_length(pick(one.height for one in room.height), job.units) for pick in (min, max))
        words.append(f"height {low}" if low == high else f"height {low} to {high}")
    return "; ".join(words)

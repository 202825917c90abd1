"""The desk's server: pages, changes, papers. It holds no state of the survey; the file is read for every answer.

Every answer is made on the one main thread, where the time limits round others' code can stop it.
"""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable, Sequence
from datetime import date
from functools import cache
from pathlib import Path
from secrets import token_hex
from typing import Any

import jinja2
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from listel.core.files import beside, write_whole
from listel.core.host.firm import Firm
from listel.core.house.wording import wording
from listel.core.survey.done import STATES
from listel.core.survey.faults import InputFault
from listel.core.survey.reading import Schema
from listel.plugins.estimate import Rates
from listel.reports.desk.edits import (
    Conflict,
    Edit,
    NotAsked,
    add_entry,
    name_photo,
    pieces_told,
    set_value,
    take_entry,
)
from listel.reports.desk.form import Field, Form
from listel.reports.desk.guard import PAPER_POLICY, Guard, Keys
from listel.reports.desk.journal import Change, Journal
from listel.reports.desk.papers import Kit, compared_in_words, made, papers_for
from listel.reports.desk.paths import id_of, mark_of, path_of, words_of
from listel.reports.desk.photos import MOST_PHOTO, kept_photo, photo_file, photos_of
from listel.reports.desk.reading import Reader, Reading
from listel.reports.desk.views import Place, View, place_of
from listel.reports.piece_done import done_changes

MOST_OUTCOME = 32 << 20
"""The largest earlier outcome that is compared, bytes."""
MOST_TAKEN = {"/photo": MOST_PHOTO * 2, "/compare": MOST_OUTCOME}
"""What single paths take, bytes; a photograph is longer in JSON than it is."""
_MOST_DRAFTS = 500

Answer = Callable[[Request], Awaitable[Response]]


class Desk:
    """One survey's desk, with what is at work in a ``firm``, its ``rates`` and its ``dress``; ``open_line``: whether a
    phone may come in."""

    def __init__(
        self,
        survey: Path,
        firm: Firm,
        *,
        rates: Sequence[Rates] = (),
        dress: Path | None = None,
        open_line: bool = False,
    ) -> None:
        self.survey, self.firm, self.open_line = survey, firm, open_line
        self.schema: Schema = firm.schema
        self.reader = Reader(survey, firm, rates)
        self.kit = Kit(schema=firm.schema, dress=dress, rates=bool(rates))
        self.journal = Journal(survey, token_hex(8))

    def app(self, hosts: frozenset[str], keys: Keys) -> Guard:
        """The desk behind its guard, answering to these names."""
        get: dict[str, Answer] = {
            "/": self.front,
            "/room/{room:int}": self.page,
            "/room/{room:int}/wall/{wall:int}": self.page,
            **{f"/{name}": self.page for name in ("job", "trim", "records", "done", "open", "papers")},
            "/state": self.state,
            "/paper/{name}": self.paper,
            "/photos/{name}": self.photograph,
            "/desk.js": self.script,
            "/desk.css": self.style,
        }
        post: dict[str, Answer] = {
            "/set": self.set,
            "/add": self.add,
            "/take": self.take,
            "/undo": self.undo,
            "/redo": self.redo,
            "/photo": self.photo,
            "/done": self.done,
            "/audit": self.audit,
            "/compare": self.compare,
        }
        routes = [Route(path, _told(answer), methods=["GET"]) for path, answer in get.items()]
        routes += [Route(path, _told(answer), methods=["POST"]) for path, answer in post.items()]
        return Guard(Starlette(routes=routes), hosts, keys, MOST_TAKEN)

    async def front(self, request: Request) -> Response:
        """The first page: the first room, or the job where there is none."""
        return self._shown(Place("room", 0))

    async def page(self, request: Request) -> Response:
        """A page of the desk."""
        name = request.url.path.split("/")[1]
        return self._shown(Place(name, request.path_params.get("room", -1), request.path_params.get("wall", -1)))

    async def state(self, request: Request) -> Response:
        """What stands on a page now; nothing where it is as the page has it."""
        view = self._view(_place(request.query_params.get("place", "/job")))
        if request.query_params.get("have") == view.reading.mark:
            return Response(status_code=204)
        return JSONResponse(self._state(view))

    async def set(self, request: Request) -> Response:
        """Values of fields: each kept, or told as a conflict with what the file says."""
        told = await _json(request)
        drafts = told.get("drafts")
        if not isinstance(drafts, list) or len(drafts) > _MOST_DRAFTS:
            raise NotAsked("a list of drafts was expected")
        kept: list[str] = []
        conflicts: dict[str, str] = {}
        refused: dict[str, str] = {}
        note = ""
        for draft in drafts:
            name, was, value, step = (_text(draft, key) for key in ("name", "was", "value", "step"))
            try:
                with self.journal.alone():
                    text = self.reader.text()
                    edit = set_value(text, self.schema, name, was, value)
                    note = (self._keep(text, edit, step) if edit else "") or note
                kept.append(name)
            except Conflict as conflict:
                conflicts[name] = conflict.now
            except NotAsked as fault:
                refused[name] = str(fault)
        state = self._state(self._view(_place(_text(told, "place"))))
        return JSONResponse({**state, "kept": kept, "conflicts": conflicts, "refused": refused, "note": note})

    async def add(self, request: Request) -> Response:
        """One more entry in a list, and where it stands."""
        told = await _json(request)
        name, kind, like = _text(told, "name"), _text(told, "kind"), bool(told.get("like"))
        edit, note = self._edited(lambda text: add_entry(text, self.schema, name, kind, like))
        place = place_of((*edit.path, "name") if edit.path[-2] != "walls" else edit.path)
        return JSONResponse({"go": f"{place.address}#{id_of(edit.path)}", "note": note})

    async def take(self, request: Request) -> Response:
        """One entry less."""
        told = await _json(request)
        name, mark = _text(told, "name"), _text(told, "mark")
        _, note = self._edited(lambda text: take_entry(text, self.schema, name, mark))
        return JSONResponse({"note": note})

    async def undo(self, request: Request) -> Response:
        """This sitting's last step taken back."""
        return await self._turned(request, "undo", self.journal.undone)

    async def redo(self, request: Request) -> Response:
        """The step taken back last done again."""
        return await self._turned(request, "redo", self.journal.redone)

    async def photo(self, request: Request) -> Response:
        """A photograph of a wall, kept beside the survey, and named in it where its form knows of photographs."""
        told = await _json(request)
        path = path_of(_text(told, "wall"))
        reading = self.reader.now()
        form = Form(self.schema, reading.data, reading.units)
        if len(path) != 4 or form.part(path) is None:
            raise NotAsked("name the wall that the photograph is of")
        name = kept_photo(self.survey.parent, reading.data, path, _text(told, "data"))
        with self.journal.alone():
            text = self.reader.text()
            edit = name_photo(text, self.schema, path, name)
            note = self._keep(text, edit, token_hex(4)) if edit else "kept in photos/; the survey does not name it"
        return JSONResponse({"name": name, "note": note})

    async def photograph(self, request: Request) -> Response:
        """A photograph from the folder beside the survey."""
        content = photo_file(self.survey.parent, request.path_params["name"])
        return Response(content, media_type="image/jpeg") if content else _gone()

    async def done(self, request: Request) -> Response:
        """Pieces told as cut, fitted, fixed or spoilt."""
        told = await _json(request)
        labels = told.get("pieces")
        if not isinstance(labels, list) or not all(isinstance(label, str) for label in labels):
            raise NotAsked("the labels of pieces were expected")
        state, by, day = (_text(told, key) for key in ("state", "by", "on"))
        if not labels or state not in STATES:
            raise NotAsked("tick the pieces, and say how far they are")
        outcome = self._sound().outcome
        assert outcome is not None
        changes = done_changes(outcome, labels, state, by, day)
        _, note = self._edited(lambda text: pieces_told(text, changes, f"{', '.join(labels[:3])}: {state}"))
        return JSONResponse({"note": note})

    async def audit(self, request: Request) -> Response:
        """A plan in a person's own words held against what this job needs."""
        from listel.plugins.sequence import audit_in_words

        told = await _json(request)
        outcome = self._sound().outcome
        assert outcome is not None
        return JSONResponse({"html": _rendered("audit.html.j2", audit=audit_in_words(outcome, _text(told, "plan")))})

    async def compare(self, request: Request) -> Response:
        """What changed since an earlier outcome."""
        told = await _json(request)
        outcome = self._sound().outcome
        assert outcome is not None
        found = compared_in_words(outcome, _text(told, "outcome"))
        return JSONResponse({"html": _rendered("compared.html.j2", comparison=found)})

    async def paper(self, request: Request) -> Response:
        """A paper: to look at, or to save."""
        wanted = papers_for(self.kit).get(request.path_params["name"])
        if wanted is None:
            return _gone()
        if "look" in request.query_params and self.reader.now().faults:
            return RedirectResponse("/papers", 303)  # where each fault stands with its place
        outcome = self._sound().outcome
        assert outcome is not None
        content, media = made(wanted, outcome, self.kit)
        headers = {"content-security-policy": PAPER_POLICY}
        if "look" not in request.query_params or not media.startswith("text/html"):
            name = f"{self.survey.stem}-{wanted.ending}".encode("ascii", "replace").decode().replace("?", "_")
            headers["content-disposition"] = f'attachment; filename="{name.translate(_UNQUOTED)}"'
        return Response(content, media_type=media, headers=headers)

    async def script(self, request: Request) -> Response:
        """The one script."""
        return PlainTextResponse(_file("desk.js"), media_type="text/javascript")

    async def style(self, request: Request) -> Response:
        """The style sheet."""
        return PlainTextResponse(_file("desk.css"), media_type="text/css")

    def _view(self, place: Place) -> View:
        return View(self.reader.now(), self.schema, self.firm.registry.plugins, place)

    def _sound(self) -> Reading:
        """The survey, if it has no fault. Raises InputFault: no paper is made of half a survey."""
        reading = self.reader.now()
        if reading.faults or reading.outcome is None:
            faults = [f"{words_of(reading.data, path)}: {says}" for path, says in reading.faults.items()]
            raise InputFault(f"the survey has faults; mend them first. {'; '.join(faults)[:900]}")
        return reading

    def _shown(self, place: Place) -> Response:
        try:
            view = self._view(place)
        except InputFault as fault:
            shown = _rendered("unread.html.j2", says=str(fault), place=place.address, open_line=self.open_line)
            return HTMLResponse(shown, 503)
        if place.name == "room" and (place.room < 0 or not view.has_page()):
            return RedirectResponse("/job", 303)
        state = self._state(view)
        rooms = view.form.part(("rooms",))
        template = f"{place.name}.html.j2" if place.name in ("papers", "done") else "form.html.j2"
        page = _rendered(
            template,
            view=view,
            rooms=rooms,
            file=self.survey.name,
            box=mark_of(str(self.survey)),
            faults={name: one["fault"] for name, one in state["fields"].items() if one["fault"]},
            befores={name: one["before"] for name, one in state["fields"].items()},
            first=jinja2.utils.htmlsafe_json_dumps(state),
            photos=place.wall >= 0,
            shots=photos_of(self.survey.parent, view.reading.data, place.above) if place.wall >= 0 else (),
            open_line=self.open_line,
            papers=papers_for(self.kit),
            states=STATES,
            today=date.today().isoformat(),
        )
        return HTMLResponse(page)

    def _state(self, view: View) -> dict[str, Any]:
        """All of a page that changes while one types."""
        fields = view.fields()
        faults = view.faults(fields)
        done, gone = self.journal.stacks()
        drawings = view.drawings()
        missing, findings = view.missing(), view.findings()
        outcome = view.reading.outcome
        parts, said = _parts(), wording(outcome.job, html=True) if outcome else str
        return {
            "mark": view.reading.mark,
            "job": view.job,
            "fields": {field.id: self._field_state(field, faults) for field in fields},
            "drawings": [[name, str(parts.figure(name, drawing))] for name, drawing in drawings.items()],
            "parts": {
                "pages": str(parts.links(view.pages())),
                "walls": str(parts.links(view.wall_links())),
                "elsewhere": str(parts.elsewhere(view.elsewhere(faults))),
                "left": str(parts.left(view.left_out())),
                "jumps": str(parts.jumps(sum(len(facts) for _, facts in missing), len(findings))),
                "missing": str(parts.missing(missing, 6)),
                "findings": said(str(parts.findings(findings, outcome is not None, view.nothing_found()))),
            },
            "undo": _name(done),
            "redo": _name(gone),
        }

    def _field_state(self, field: Field, faults: dict[str, str]) -> dict[str, str | bool]:
        fault = faults.get(field.id, "")
        before = self.journal.before(field.id) if fault else None
        return {"value": field.value, "fault": fault, "read": field.read, "before": before or "", "off": field.off}

    def _edited(self, change: Callable[[str], Edit]) -> tuple[Edit, str]:
        """A change made and kept, and what is to be said of it."""
        with self.journal.alone():
            text = self.reader.text()
            edit = change(text)
            return edit, self._keep(text, edit, token_hex(4))

    def _keep(self, text: str, edit: Edit, step: str) -> str:
        """Write the survey, then note it. The note failing costs the undo only, and is told."""
        write_whole(self.survey, edit.text)
        try:
            self.journal.keep(text, edit.text, step=step, path=id_of(edit.path), says=edit.says, before=edit.before)
        except OSError as error:
            return f"kept, but it cannot be undone: the journal cannot be written ({error.strerror})"
        return ""

    async def _turned(self, request: Request, does: str, turn: Callable[[str], tuple[str, Change] | None]) -> Response:
        told = await _json(request)
        with self.journal.alone():
            text = self.reader.text()
            found = turn(text)
            if found is None:
                raise InputFault("nothing was changed back: the file was changed by another hand since")
            new, change = found
            write_whole(self.survey, new)
            self.journal.keep(text, new, does=does, step=change.step, path=change.path, says=change.says)
        view = self._view(_place(_text(told, "place")))
        return JSONResponse(self._state(view) if view.has_page() else {"go": "/job"})


def _told(answer: Answer) -> Answer:
    """The answer, with what a person got wrong told as such."""

    async def told(request: Request) -> Response:
        try:
            return await answer(request)
        except Conflict as conflict:
            says, status = f"It was changed elsewhere, and stays: {conflict}.", 409
        except NotAsked as fault:
            says, status = str(fault), 400
        except InputFault as fault:
            says, status = str(fault), 503
        except OSError as error:
            says, status = f"the disk: {error.strerror or error}", 507
        if request.url.path.startswith("/paper/"):
            return PlainTextResponse(says, status)
        return JSONResponse({"says": says}, status)

    return told


async def _json(request: Request) -> dict[str, Any]:
    try:
        told = json.loads(await request.body())
    except (ValueError, RecursionError):
        raise NotAsked("JSON was expected") from None
    if not isinstance(told, dict):
        raise NotAsked("a JSON object was expected")
    return told


def _text(told: Any, key: str) -> str:
    value = told.get(key, "") if isinstance(told, dict) else None
    if not isinstance(value, str):
        raise NotAsked(f"{key}: text was expected")
    return value


def _place(address: str) -> Place:
    """The page of an address. Raises NotAsked where there is none."""
    words = address.strip("/").split("/")
    numbers = [int(word) if word.isascii() and word.isdecimal() and len(word) < 7 else -1 for word in words[1::2]]
    if words[0] == "room" and words[2:3] in ([], ["wall"]) and len(words) in (2, 4) and min(numbers) >= 0:
        return Place("room", *numbers)
    if words in (["job"], ["trim"], ["records"], ["done"], ["open"], ["papers"]):
        return Place(words[0])
    raise NotAsked(f"{address[:80]}: there is no such page")


def _name(changes: Sequence[Change]) -> str:
    """What the last step is called, from its first value to its last."""
    if not changes:
        return ""
    return changes[-1].says


_UNQUOTED = {ord(letter): "_" for letter in '"\\\r\n'}


def _gone() -> Response:
    return PlainTextResponse("there is nothing of that name", 404)


@cache
def _environment() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(Path(__file__).with_name("pages")),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def _parts() -> Any:
    return _environment().get_template("parts.html.j2").module


def _rendered(template: str, **shown: Any) -> str:
    return _environment().get_template(template).render(**shown)


@cache
def _file(name: str) -> str:
    return beside("listel.reports.desk", name).read_text(encoding="utf-8")

"""Jinja for the statement: our templates and installed plugins' in full, everybody else's in the sandbox."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping
from contextlib import nullcontext
from functools import cache, lru_cache
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

import jinja2
from jinja2 import (
    BytecodeCache,
    ChoiceLoader,
    Environment,
    FileSystemLoader,
    FunctionLoader,
    StrictUndefined,
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
    pass_context,
)
from jinja2.bccache import Bucket
from jinja2.runtime import Context
from markupsafe import Markup

from listel.core.commands.show import quantity, words
from listel.core.files import beside, keep_made, read_made
from listel.core.host.limits import TookTooLong, time_limit
from listel.core.house.filters import filters
from listel.core.survey.faults import InputFault
from listel.core.survey.job import Job
from listel.core.survey.units import Units

if TYPE_CHECKING:
    from listel.core.house.sandbox import SandboxFault

LARGEST_FILE = 1024 * 1024
"""Largest file of a firm's dress that is taken, bytes."""
TEMPLATE_SECONDS = 10.0
"""How long a firm's template may take to render."""
OURS = tuple(Path(__file__).parent / room / "templates" for room in ("", "papers", "estate"))


COMPILED_FOR = (("listel.core.house", "filters.py"), ("listel.reports", "templating.py"))
"""The files that say what a template's filters are."""


class TemplateFault(InputFault):
    """A template that cannot be rendered: which one, its line, and what is wrong with it."""

    def __init__(self, name: str, line: int, says: str) -> None:
        super().__init__(f"{name}:{line}: {says}")


@cache
def _ours() -> Environment:
    return Environment(
        loader=ChoiceLoader([FileSystemLoader(OURS), FunctionLoader(_text_of)]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        bytecode_cache=_Compiled(),
    )


def _text_of(name: str) -> tuple[str, str, None] | None:
    """The text of a template that is named by its whole path."""
    path = Path(name)
    return (path.read_text("utf-8"), name, None) if path.is_absolute() and path.is_file() else None


class _Compiled(BytecodeCache):
    """Compiled templates, kept beside their sources and in this process: half the time of a statement would be
    compiling.

    One compiled by another Jinja, or for filters of another form, is made anew.
    """

    def __init__(self) -> None:
        made_by = (beside(*file).read_bytes() for file in COMPILED_FOR)
        self._made_by = (jinja2.__version__.encode(), *made_by)
        self._kept: dict[tuple[str, str], bytes] = {}

    def get_cache_key(self, name: str, filename: str | None = None) -> str:
        return filename or name

    def load_bytecode(self, bucket: Bucket) -> None:
        made = self._kept.get((bucket.key, bucket.checksum))
        made = made or read_made(Path(bucket.key), "compiled", bucket.checksum.encode(), *self._made_by)
        if made is not None:
            self._kept[bucket.key, bucket.checksum] = made
            bucket.bytecode_from_string(made)

    def dump_bytecode(self, bucket: Bucket) -> None:
        code = self._kept[bucket.key, bucket.checksum] = bucket.bytecode_to_string()
        keep_made(Path(bucket.key), "compiled", code, bucket.checksum.encode(), *self._made_by)


def environment(job: Job) -> Environment:
    """Our environment with the job's filters."""
    return environment_in(job.units, job.cutting.currency or "")


@lru_cache(maxsize=8)
def environment_in(units: Units, currency: str) -> Environment:
    """Our environment, in these units and this money; it keeps the templates it has read."""
    made = _ours().overlay()
    of_job = filters(units, currency)
    own = {"words": words, "quantity": lambda given: quantity(given, units)}
    made.filters = {**made.filters, **{name: _at_run(one) for name, one in {**of_job, **own}.items()}}
    return made


def _at_run(filter_: Callable[..., Any]) -> Callable[..., Any]:
    """The filter, held back until the template runs: a constant it is given would else be worked out while compiling,
    and the compiled template, which is kept, would carry one job's units into the next."""

    @pass_context
    def held_back(_: Context, *given: Any, **named: Any) -> Any:
        return filter_(*given, **named)

    return held_back


def render_ours(made: Environment, name: str, values: Mapping[str, Any]) -> Markup:
    """One of our own templates. Raises TemplateFault."""
    try:
        return Markup(made.get_template(name).render(values))
    except TemplateError as error:
        raise _fault(name, error) from error


def render_file(
    made: Environment,
    path: Path,
    values: Mapping[str, Any],
    *,
    trusted: bool,
    limited: bool = True,
    drawings: Container[str] = (),
) -> Markup:
    """A template file of a plugin, or, not trusted, of a firm, whose HTML is then held to the statement's subset, with
    these ``drawings`` in it, and whose faults name its place. ``limited``: within a time; our own takes what the job
    takes. Raises TemplateFault, also where it cannot be read, and MarkupFault for other HTML."""
    name = path.name if trusted else str(path)
    try:
        if trusted:
            with time_limit(TEMPLATE_SECONDS) if limited else nullcontext():
                return Markup(made.get_template(str(path.absolute())).render(values))
        return _in_sandbox(made, path, values, drawings)
    except TookTooLong as error:
        raise TemplateFault(name, 1, str(error)) from error
    except (OSError, UnicodeDecodeError, TemplateNotFound) as error:
        raise TemplateFault(name, 1, f"it cannot be read: {error}") from error
    except TemplateError as error:
        raise _fault(name, error) from error


def _in_sandbox(made: Environment, path: Path, values: Mapping[str, Any], drawings: Container[str]) -> Markup:
    from listel.core.house.sandbox import SandboxFault, rendered, template
    from listel.reports.walk import safe

    text = path.read_text("utf-8")
    own = {name: filter_ for name, filter_ in made.filters.items() if name in ("mm", "deg", "num", "money", "date")}
    try:
        with time_limit(TEMPLATE_SECONDS):
            html = rendered(template(text, frozenset(values), own), values)
    except SandboxFault as error:
        raise _fault(str(path), error) from error
    return Markup(safe(html, str(path), drawings))


def _fault(name: str, error: TemplateError | SandboxFault) -> TemplateFault:
    if isinstance(error, TemplateSyntaxError):
        return TemplateFault(
            name if Path(name).is_absolute() else Path(error.name or name).name,
            error.lineno,
            f"it is no template: {error.message}",
        )
    cause = error.__cause__ or error
    line = _template_line(cause.__traceback__) or getattr(error, "line", 1)
    return TemplateFault(name, line, str(error))


def _template_line(trace: TracebackType | None) -> int:
    """The line of the template in which an error arose; Jinja gives its frames the template's own lines."""
    line = 0
    while trace:
        name = trace.tb_frame.f_code.co_filename
        if name == "<template>" or name.endswith(".j2"):
            line = trace.tb_lineno
        trace = trace.tb_next
    return line

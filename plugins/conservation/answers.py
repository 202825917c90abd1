"""What a job answers under each heading of a region's statement, in sentences made from the officer's table."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.core.survey.units import show_length
from listel.plugins.conservation.results import Drilled, Item, Total, done_to
from listel.plugins.existing import Existing


@dataclass(frozen=True, kw_only=True)
class Told:
    """All that the answers are made from; ``marked``: whether new work is marked, lest it be taken for old."""

    job: Job
    existing: Existing
    items: Sequence[Item]
    totals: Sequence[Total]
    drilled: Sequence[Drilled]
    marked: bool

    def length(self, value: float) -> str:
        """A length as a table of lengths tells it."""
        return show_length(value, "inches") if self.job.units == "inches" else f"{value / 1000:.1f} m"

    @property
    def new(self) -> list[Item]:
        """The rows of new trim."""
        return [item for item in self.items if item.new]


def _fabric(told: Told) -> str:
    count = len(told.existing.pieces)
    if not count:
        return "The survey names no old trim."
    length = sum(piece.length or 0.0 for piece in told.existing.pieces)
    seen = sum(bool(piece.photos) for piece in told.existing.pieces)
    return (
        f"{count} piece{'s' * (count != 1)} of old trim, {told.length(length)}, {seen} of them in photographs; each is "
        "an item of the table."
    )


def _listed(words: list[str], article: str = "") -> str:
    """Words as a sentence lists them, each but the first behind its article."""
    first, *rest = words
    between = "".join(f", {article}{word}" for word in rest[:-1])
    return f"{first}{between} and {article}{rest[-1]}" if rest else first


SURVEYED = {
    "list_entry": ("Entry: ", "its entry in the list or register"),
    "significance": ("", "what matters about the building"),
    "consulted": ("Consulted: ", "which records of the building were read"),
    "harm": ("Harm to what matters: ", "how far the work harms what matters"),
    "benefit": ("Weighed against it: ", "what public benefit is weighed against the harm"),
}
"""What the survey alone can answer: how it is said, and what it is where it was not surveyed."""


def left_out(job: Job, names: Sequence[str]) -> list[str]:
    """What of these answers the survey leaves out, in words. No benefit is asked for where nothing is harmed."""
    building = job.building
    asked = [name for name in names if name != "benefit" or building.harm not in (None, "none")]
    return [SURVEYED[name][1] for name in asked if name in SURVEYED and not getattr(building, name)]


def _surveyed(name: str) -> Callable[[Told], str]:
    def answer(told: Told) -> str:
        said = (getattr(told.job.building, name) or "").strip()
        lacks = left_out(told.job, [name])
        words = said.replace("-", " ") if name == "harm" else said
        return _sentence(f"{SURVEYED[name][0]}{words}" if said else f"Not surveyed: {lacks[0]}" if lacks else "")

    return answer


def _age(told: Told) -> str:
    words = (("original", "original to the room"), ("later", "later"), ("unknown", "of unknown age"), ("", "not dated"))
    found = [(word, [p.label for p in told.existing.pieces if p.original == name]) for name, word in words]
    parts = [f"{_listed(labels)} {'is' if len(labels) == 1 else 'are'} {word}" for word, labels in found if labels]
    return _sentence("; ".join(parts))


def _impact(told: Told) -> str:
    parts = [
        f"{told.length(total.length)} {total.name}" + (f" ({total.share:.0f} %)" if total.share is not None else "")
        for total in told.totals
        if total.name == "replaced" or (total.length and total.name != "new")
    ]
    new = next((total.length for total in told.totals if total.name == "new"), 0.0)
    old = f"Of the old trim {', '.join(parts)}. " if told.existing.pieces else ""
    names = dict.fromkeys(each.piece for each in told.drilled)
    holed = [f"{name or 'panelling not listed'} takes {done_to(name, told.drilled)}" for name in names]
    return f"{old}New: {told.length(new)}." + (f" Of what stays, {'; '.join(holed)}." if holed else "")


def _objective(told: Told) -> str:
    worn = [f"{piece.label} is {piece.state}" for piece in told.existing.pieces if piece.state not in ("", "sound")]
    rooms: dict[str, list[str]] = {}
    for item in told.new:
        if not item.replaces:
            rooms.setdefault(item.label, []).append(item.room)
    why = {piece.label: f"{piece.label} ({piece.why})" for piece in told.existing.pieces}
    taken = [
        f"the {item.label} in the {item.room} takes the place of {_listed([why[label] for label in item.replaces])}"
        for item in told.new
        if item.replaces
    ]
    fresh = [f"{name} in the {_listed(where, 'the ')}" for name, where in rooms.items()]
    goes = f"new trim goes where nothing old stands: {', '.join(fresh)}" if fresh else ""
    return _sentence("; ".join(part for part in (", ".join(worn), *taken, goes) if part))


def _options(told: Told) -> str:
    weighed = [f"{piece.label}: {piece.considered}" for piece in told.existing.pieces if piece.considered]
    why = [f"{piece.label} {piece.happens}, for {piece.why}" for piece in told.existing.pieces if piece.given]
    rest = [
        piece.label
        for piece in told.existing.pieces
        if not (piece.considered or piece.given or piece.intent in ("", "keep"))
    ]
    last = f"of {', '.join(rest)} no other way was weighed" if rest else ""
    return _sentence("; ".join(part for part in (*weighed, *why, last) if part))


def _traces(told: Told) -> str:
    proved = [f"the {item.label} of the {item.room} by {item.worth}" for item in told.new if item.proved]
    return f"Followed: {'; '.join(proved)}." if proved else ""


def _conjecture(told: Told) -> str:
    parts = []
    not_so = [item for item in told.new if not item.proved]
    for says, which in (
        ("Without a trace in its own room", [item for item in not_so if not item.departs]),
        ("Not like what survives in its own room", [item for item in not_so if item.departs]),
    ):
        if which:
            parts.append(f"{says}: {'; '.join(f'the {i.label} of the {i.room} ({i.worth})' for i in which)}.")
    if parts:
        return " ".join(parts)
    return "All new trim follows a trace or a survivor of its own room." if told.new else ""


def _marked(told: Told) -> str:
    return "New work is marked and dated on its back, and recorded on the drawing." if told.marked else ""


ANSWERS: dict[str, Callable[[Told], str]] = {
    "fabric": _fabric,
    **{name: _surveyed(name) for name in SURVEYED},
    "age": _age,
    "impact": _impact,
    "principles": lambda _: "Keep before refix, refix before repair, repair before replace.",
    "objective": _objective,
    "options": _options,
    "schedule": lambda _: "The items of the table, in the order of work.",
    "traces": _traces,
    "conjecture": _conjecture,
    "undone": lambda _: "How each item is undone stands in its row.",
    "marked": _marked,
    "access": lambda _: "Trim changes no width, no level and no door.",
}
"""The answers by their names in the table ``asks``."""


def answered(told: Told, names: Sequence[str]) -> str:
    """The answers of those names, one after the other."""
    return " ".join(said for name in names if (said := ANSWERS[name](told))) or "Nothing to tell."


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:].rstrip('.')}." if words else ""

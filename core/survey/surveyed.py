"""What every object of the job model is made of: its place in the survey, and how the survey spells its fields."""

from collections.abc import Callable
from dataclasses import MISSING, field
from typing import Any

from listel.core.quick import dataclass


@dataclass(frozen=True)
class Surveyed:
    """Anything the survey tells. ``path``: its place there ("rooms/0/walls/1"); it takes no part in comparing."""

    path: str = field(default="", compare=False, repr=False, kw_only=True)


def spelt(
    key: str = "",
    default: Any = MISSING,
    *,
    alone: bool = False,
    each: bool = False,
    read: Callable[[Any], Any] | None = None,
    write: Callable[[Any], Any] | None = None,
) -> Any:
    """A field that the survey spells otherwise than the model.

    ``key``: its key there, where that is another word (else it is the field's name, with dashes). ``alone``: its value
    may stand for the whole map. ``each``: a list there stands for as many objects, one for each item.
    ``read``: from what is written to what is held; ``write``: from the object back to what is written, None to leave
    the key out.
    """
    return field(default=default, metadata={"key": key, "alone": alone, "each": each, "read": read, "write": write})

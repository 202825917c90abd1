"""What is wrong with what a person gave us: one base for every input that cannot be read."""

from __future__ import annotations


class InputFault(ValueError):
    """An input that cannot be read. Its text is for the person: where, what was expected, how to mend it."""

"""One value changed in a survey's text: everything else stays, byte by byte."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.survey import splice
from listel.core.survey.faults import InputFault
from listel.core.survey.messages import KeyPath, SurveyFaults
from listel.core.survey.splice import GONE, changed, found
from listel.core.survey.yaml_places import read_text

EXAMPLES = ("plain-room", "us-house", "stair-hall")


def values(data: Any, path: KeyPath = ()) -> Iterator[tuple[KeyPath, Any]]:
    parts = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, part in parts:
        yield from values(part, (*path, key))
    if not isinstance(data, (dict, list)):
        yield path, data


def data_of(text: str) -> Any:
    return read_text(text, "survey").data


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_value_of_each_example_is_changed_alone(
    name: str, examples: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every line but the value's own is the same, byte by byte; nothing falls back on writing the file anew."""
    monkeypatch.setattr(splice, "_written_anew", lambda *_: pytest.fail("written anew"))
    text = (examples / f"{name}.yaml").read_text("utf-8")
    before = text.split("\n")
    for path, value in list(values(data_of(text)))[:: 1 if name == "plain-room" else 3]:
        after = changed(text, path, "Ö: 1 #").split("\n")
        folded = len(before) - len(after)  # a value that stood on several lines stands on one
        same = next(at for at, (one, other) in enumerate(zip(before, after, strict=False)) if one != other)
        assert before[same + folded + 1 :] == after[same + 1 :], path
        assert folded == 0 or (isinstance(value, str) and len(value) > 100), path


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_value_of_each_example_is_taken_out_alone(name: str, examples: Path) -> None:
    """What is left reads as the old data without it, and every comment stays."""
    text = (examples / f"{name}.yaml").read_text("utf-8")
    comments = [line.strip() for line in text.splitlines() if line.lstrip().startswith("#")]
    before = data_of(text)
    for path, value in list(values(before))[:: 1 if name == "plain-room" else 7]:
        after = changed(text, path, GONE)
        assert found(data_of(after), path) != value or isinstance(path[-1], int)
        assert [line.strip() for line in after.splitlines() if line.lstrip().startswith("#")] == comments


@settings(max_examples=40)
@given(
    st.one_of(
        st.text(max_size=40),
        st.integers(-10_000, 10_000),
        st.floats(-1e6, 1e6).map(lambda one: round(one, 3)),
        st.booleans(),
    )
)
def test_what_is_put_in_is_what_stands_there(value: object) -> None:
    """Whatever a person types, in a block and between brackets."""
    text = "a: 1  # one\nb: {c: 2, d: [3, 4]}\ne:\n  - {f: 5}\n"
    if isinstance(value, str) and any(not (letter.isprintable() or letter in "\n\t") for letter in value):
        return
    for path in (("a",), ("b", "c"), ("b", "d", 1), ("b", "new"), ("e", 0, "f"), ("e", 1), ("z",)):
        after = changed(text, path, value)
        assert found(data_of(after), path) == value
        assert "# one" in after


@pytest.mark.parametrize(
    ("before", "path", "value", "after"),
    [
        ("a: 1\n# end\n", ("b",), 2, "a: 1\nb: 2\n# end\n"),
        ("a: 1\r\nb: 2\r\n", ("a",), 3, "a: 3\r\nb: 2\r\n"),
        ("a: 1\r\nb: 2", ("c",), 3, "a: 1\r\nb: 2\r\nc: 3"),
        ("a:\nb: 2\n", ("a", "c"), 3, "a: {c: 3}\nb: 2\n"),
        ("a: {b: 1}\n", ("a", "c"), 2, "a: {b: 1, c: 2}\n"),
        ("a: {}\n", ("a", "c"), 2, "a: {c: 2}\n"),
        ("a: []\n", ("a", 0), 2, "a: [2]\n"),
        ("a: 1\n", ("rooms", 0), {"name": "X", "walls": [{"name": "A"}]},
         "a: 1\nrooms:\n  - name: X\n    walls:\n      - name: A\n"),
        ("a: 1\n", ("floor", 0), {"at": 0}, "a: 1\nfloor:\n  - {at: 0}\n"),
        ("walls:\n- name: A\n  # on A\n- name: B\n", ("walls", 0, "length"), 5,
         "walls:\n- name: A\n  length: 5\n  # on A\n- name: B\n"),
        ("a:\n  - b: 1\n    c: 2\n", ("a", 0, "b"), GONE, "a:\n  - c: 2\n"),
        ("a: {b: 1}\nc: 2\n", ("a", "b"), GONE, "c: 2\n"),
        ("a: [1, 2, 3]\n", ("a", 1), GONE, "a: [1, 3]\n"),
        ("a: [1, 2, 3]\n", ("a", 2), GONE, "a: [1, 2]\n"),
        ("a:\n  - 1  # one\n  - 2\nb: 1\n", ("a", 0), GONE, "a:\n  - 2\nb: 1\n"),
        ("n: |\n  one\n  two\n# c\nb: 1\n", ("n",), "x", "n: x\n# c\nb: 1\n"),
        ("a: 1\n", ("b",), "12", 'a: 1\nb: "12"\n'),
        ("a: 1\n", ("b",), "2' 10 1/2\"", "a: 1\nb: 2' 10 1/2\"\n"),
    ],
)  # fmt: skip
def test_where_a_change_lands(before: str, path: KeyPath, value: object, after: str) -> None:
    assert changed(before, path, value) == after


def test_an_example_of_the_starter_gives_its_line_to_the_value() -> None:
    from listel.core.files import beside

    starter = beside("listel.schemas", "starter.yaml").read_text("utf-8")
    after = changed(starter, ("rooms", 0, "walls", 0, "moisture"), 14)
    assert "        moisture: 14\n" in after
    assert "        #moisture: 12\n" not in after
    assert len(after.splitlines()) == len(starter.splitlines())


def test_a_comment_of_ones_own_is_never_written_over() -> None:
    assert changed("a: 1\n#b: 12 read again on Monday\n", ("b",), 3) == "a: 1\nb: 3\n#b: 12 read again on Monday\n"


def test_a_value_repeated_by_an_alias_is_left_alone() -> None:
    """Changing one would change the other: it is refused, in words."""
    with pytest.raises(InputFault, match="alias"):
        changed("a: &x {b: 1}\nc: *x\n", ("c", "b"), 2)


def test_a_text_that_cannot_be_read_is_told_so() -> None:
    with pytest.raises(SurveyFaults):
        changed("a: [1\n", ("a", 0), 2)

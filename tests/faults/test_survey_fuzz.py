"""Whatever is in the file, reading it gives a job or faults in words; nothing else ever comes out."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.survey.job import Job
from listel.core.survey.reading import SurveyFaults, job_from_text, read_survey

from . import fuzz

EXAMPLES = Path(__file__).parents[2] / "schemas" / "examples"
DEMOS = ("stair-hall.yaml", "plain-room.yaml", "us-house.yaml")


@cache
def demo(name: str) -> str:
    """The text of a demo survey."""
    return (EXAMPLES / name).read_text(encoding="utf-8")


def job_or_words(text: str) -> bool:
    """Whether reading the text gives a job, or faults that print with the file's name and a sentence."""
    try:
        return isinstance(job_from_text(text, "x.yaml"), Job)
    except SurveyFaults as faults:
        lines = str(faults).splitlines()
        return bool(lines) and all(line.startswith("x.yaml") and ": " in line for line in lines)


@given(st.text(st.characters(codec=None), max_size=200))
@settings(max_examples=200)
def test_any_text(text: str) -> None:
    assert job_or_words(text)


@given(st.text("{}[]:,-&*!|>'\"#%@` \n\tab1.?~<", max_size=60))
@settings(max_examples=300)
def test_text_of_yaml_signs(text: str) -> None:
    assert job_or_words(text)


pieces = st.sampled_from(
    [
        "",
        ": ",
        "- ",
        "{",
        "}",
        "[",
        "]",
        "\n",
        "\t",
        '"',
        "'",
        "&a ",
        "*a",
        "!t ",
        "null",
        "~",
        ".nan",
        "-1",
        "99999999",
        "true",
        "x" * 300,
        "1e400",
        "0",
        "\0",
        "é",
        "rooms:",
        "walls: all",
        "length: [1]",
        "# ",
        "2' 13\"",
        "---\n",
        "1,5",
        "{first: 1}",
        "name: A\n",
        "|\n",
        "\\",
    ]
)


@given(st.sampled_from(DEMOS), st.lists(st.tuples(st.floats(0, 1), st.integers(0, 40), pieces), min_size=1, max_size=3))
@settings(max_examples=100)
def test_demo_surveys_with_pieces_changed(name: str, changes: list[tuple[float, int, str]]) -> None:
    text = demo(name)
    for share, cut, piece in changes:
        at = int(share * len(text))
        text = text[:at] + piece + text[at + cut :]
    assert job_or_words(text)


junk = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 99999) | st.text("aA1 '\"", max_size=6) | st.just([]) | st.just({}),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["name", "at", "walls", "kind", "first", "zz"]), inner, max_size=3)
    ),
    max_leaves=6,
)
keys = st.sampled_from(
    [
        "job",
        "rooms",
        "trim",
        "stock",
        "rack",
        "plan",
        "records",
        "departures",
        "building",
        "climate",
        "units",
        "choices",
        "work",
    ]
)


@given(
    st.dictionaries(keys, junk | st.lists(junk, max_size=3), max_size=5),
    st.lists(junk, max_size=3),
    st.lists(junk, max_size=3),
)
@settings(max_examples=200)
def test_the_right_keys_with_the_wrong_values(
    data: dict[str, object], walls: list[object], match: list[object]
) -> None:
    import json

    room = {"name": "R", "walls": walls, "evidence": walls, "height": walls, "stairs": walls}
    trim = {"name": "t", "member": "skirting", "where": walls, "match": match}
    assert job_or_words(json.dumps({"listel": 1, "job": {"title": "T"}, "rooms": [room], "trim": [trim], **data}))


@given(st.binary(max_size=300))
@settings(max_examples=100)
def test_any_bytes(data: bytes) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.yaml"
        path.write_bytes(data)
        with pytest.raises(SurveyFaults) as caught:
            read_survey(path)
    assert str(caught.value).startswith(str(path))


def test_a_few_inputs_of_every_family(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_CONFIG_HOME", "XDG_STATE_HOME", "LISTEL_SETTINGS"):
        monkeypatch.setenv(name, "")  # each input has its own, and what stood here is set again
    assert fuzz.run(40, seed=7) == []

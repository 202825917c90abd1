"""The words of a region stand in our sentences, never within a name that the survey gives."""

from __future__ import annotations

import ast
import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from listel.core.contract.tables import data_beside, load_table
from listel.core.house.wording import wording
from listel.core.survey.job import Building, Job, Opening, Photo, Room, Trim, Wall

ROOT = Path(__file__).parents[2]
AMERICAN = wording(Job("a job", building=Building(region="united-states")), html=True)
NOT_PRINTED = {"cases", "vocabulary", "word_classes", "turns", "plain_words", "method_words"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("The architrave goes round the press.", "The facing goes round the press."),
        ("The press architrave is screwed.", "The press architrave is screwed."),
        ("<b>the press architrave</b> and an architrave", "<b>the press architrave</b> and a facing"),
    ],
)
def test_a_name_of_the_survey_is_left_as_it_is_wherever_other_words_of_it_end(text: str, said: str) -> None:
    """The press is an opening, and what its photograph shows; a trim is called after it."""
    hall = Room("Hall", walls=(Wall("A", openings=(Opening("cupboard", name="press", at=100.0, width=760.0),)),))
    job = Job(
        "a job",
        building=Building(region="scotland"),
        rooms=(hall,),
        trim=(Trim("press architrave", "architrave"),),
        photos=(Photo(name="press", file="press.png", shows="The press"),),
    )
    assert wording(job, html=True)(text) == said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Trim stays 305 mm from the lining of the flue.", "Trim stays 305 mm from the lining of the flue."),
        (
            "Keep off the flue&#39;s lining; pack the lining.",
            "Keep off the flue&#39;s lining; pack the jamb extension.",
        ),
        ("boxing and lining boards", "boxing and lining boards"),
        ("uneven margin on the door lining", "uneven margin on the door jamb"),
        ("<p>the dado\nrail over the dado</p>", "<p>the chair rail over the wainscot</p>"),
        ("the entablature&#39;s architrave; a cornice", "the entablature&#39;s architrave; a crown molding"),
        ("dado-rail", "dado-rail"),
        ("panelling/groove-too-shallow, panelling/frame", "panelling/groove-too-shallow, panelling/frame"),
        ("on 6 April 2026; screws 200 mm apart", "on April 6, 2026; screws 200 mm apart"),
        (
            '<a class="published" href="#s">Timber in joinery</a> timber',
            '<a class="published" href="#s">Timber in joinery</a> wood',
        ),
        ("make-panelling; <code>choices: panelling</code>", "make-panelling; <code>choices: panelling</code>"),
    ],
)
def test_a_word_is_put_for_a_member_only_where_the_member_is_meant(text: str, said: str) -> None:
    assert AMERICAN(text) == said


def test_what_is_printed_of_a_job_in_inches_has_no_mm_but_in_its_own_names() -> None:
    hall = Room("Hall 200 mm", walls=(Wall("A"),))
    job = Job("a job of 6 April 2026", building=Building(region="united-states"), rooms=(hall,), units="inches")
    told = wording(job)("a job of 6 April 2026: in Hall 200 mm leave 25 to 50 mm; skirting\nof the flue")
    assert told == 'a job of 6 April 2026: in Hall 200 mm leave 1" to 2"; baseboard\nof the flue'


def test_every_sentence_with_a_word_of_two_meanings_has_been_read_in_american_words() -> None:
    """They stand as American papers have them. A new one is read, and then written with LISTEL_GOLDEN=write: a rule of
    safety that names another thing than it means is lost."""
    rows = load_table("listel.plugins.site", "words").rows
    words = {row.name for row in rows if row.get("unless") and row.name not in ("architrave", "cornice")}
    of_two = re.compile(rf"\b({'|'.join(words | {'programme', 'dado'})})s?\b(?!-? ?rail)", re.IGNORECASE)
    told = sorted({AMERICAN(part) for part in _sentences() if of_two.search(part)})
    path = ROOT / "tests" / "golden" / "american-words.txt"
    if os.environ.get("LISTEL_GOLDEN") == "write":
        path.write_text("\n".join(told) + "\n", "utf-8")
    assert told == path.read_text("utf-8").splitlines()


def _sentences() -> Iterator[str]:
    """What stands between two stops in any text of our rules, tables, templates and findings."""
    for path in sorted(path for room in ("plugins", "reports") for path in (ROOT / room).rglob("*")):
        if path.stem not in NOT_PRINTED and path.suffix in (".yaml", ".py", ".j2"):
            for text in _texts(path):
                for part in re.split(r"[.;](?!\d)|<[^>]*>", text):
                    if " " in part.strip():
                        yield " ".join(part.split())


def _texts(path: Path) -> Iterator[str]:
    if path.suffix == ".j2":
        yield re.sub(r"\{[{%].*?[%}]\}", " ", path.read_text("utf-8"), flags=re.DOTALL)
    elif path.suffix == ".yaml":
        yield from _strings(data_beside(".".join(("listel", *path.relative_to(ROOT).parent.parts)), path.stem))
    else:
        tree = ast.parse(path.read_text("utf-8"))
        ours = {id(each.value) for each in ast.walk(tree) if isinstance(each, ast.Expr)}
        for each in ast.walk(tree):
            if isinstance(each, ast.JoinedStr):
                yield "".join(part.value if isinstance(part, ast.Constant) else "..." for part in each.values)
            elif isinstance(each, ast.Constant) and isinstance(each.value, str) and id(each) not in ours:
                yield each.value


def _strings(data: Any) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict | list):
        for each in data.values() if isinstance(data, dict) else data:
            yield from _strings(each)

"""The words of a region stand in our sentences, never within a name that the survey gives."""

from __future__ import annotations

import pytest
from markupsafe import Markup

from listel.core.survey.job import Building, Job, Opening, Photo, Room, Trim, Wall
from listel.reports.wording import wording


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
    assert wording(job)(Markup(text)) == said

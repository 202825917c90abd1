"""The rules of Hollin & Roke, an invented firm. This module holds only the hooks."""

from pathlib import Path

from listel import (
    HeightRule,
    OptionsForm,
    Reckoner,
    Rule,
    Section,
    Stage,
    Step,
    SurveyFields,
    Table,
    Words,
    hookimpl,
    load_rules,
    load_table,
)

__version__ = "0.3.0"
LISTEL_API = 1


@hookimpl
def listel_stages() -> list[Stage]:
    """One stage sets the spacing on skimmed walls and says what that cures; one prices the visits."""
    from hollin_roke.skims import examine
    from hollin_roke.visits import Visits, price
    from listel import Options
    from listel.plugins.fixings import FixingSchedule

    return [
        Stage("hollin-skims", examine, amends=(FixingSchedule,), author="Hollin & Roke, skims"),
        Stage("hollin-visits", price, needs=(Options,), gives=(Visits,)),
    ]


@hookimpl
def listel_rules() -> list[Rule]:
    """What the stages can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """``listel reckon hollin-visits --rooms 3``."""
    from hollin_roke.visits import VISITS

    return [VISITS]


@hookimpl
def listel_steps() -> list[Step]:
    """A sample board is agreed before anything is cut."""
    return [
        Step(
            "hollin-sample",
            "Agree the sample board",
            lambda job, sheet: "Every client of ours agrees a sample board.",
            needs=("survey",),
            before=("cut",),
            hours=lambda job, sheet: 1.0,
            wait=lambda job, sheet: (24.0, "the client to look at it by day"),
            who="client",
            words=("show the swatch",),
        )
    ]


@hookimpl
def listel_words() -> list[Words]:
    """What our joiners write in their plans."""
    return [Words("cut", ("dock the lengths",)), Words("machine-sand", ("go over it with the hummer",))]


@hookimpl
def listel_tables() -> list[Table]:
    """A make-up of walls that we meet, a hazard with its controls, a sign."""
    return [load_table(__package__, name) for name in ("makeups", "hazards", "signs")]


@hookimpl
def listel_survey_fields() -> list[SurveyFields]:
    """What we ask of the job, each room, wall and trim."""
    skim = {
        "type": ["number", "string"],
        "format": "length",
        "description": "thickness of our skim",
        "x-decides": "how closely the trim is fixed",
    }
    return [
        SurveyFields("job", {"van": {"enum": ["red", "green"], "description": "which van goes"}}, required=("van",)),
        SurveyFields("room", {"dust-sheet": {"type": "boolean", "description": "whether a sheet hangs at the door"}}),
        SurveyFields("wall", {"skim": skim}),
        SurveyFields("trim", {"batch": {"type": "string", "description": "batch of the mill"}}),
    ]


@hookimpl
def listel_options() -> list[OptionsForm]:
    """What the settings or a house file may tell us."""
    return [
        OptionsForm(
            {
                "visit": {
                    "type": "number",
                    "minimum": 0,
                    "default": 60,
                    "description": "price of a visit, without tax",
                },
                "vat": {"type": "number", "minimum": 0, "maximum": 100, "default": 20, "description": "tax, %"},
            }
        )
    ]


@hookimpl
def listel_heights() -> list[HeightRule]:
    """Dado rails in low rooms."""
    from hollin_roke.heights import low_rooms

    return [HeightRule("hollin-low-rooms", low_rooms)]


@hookimpl
def listel_sections() -> list[Section]:
    """What our visits cost."""
    return [Section("hollin-roke", "Our visits", 755, Path(__file__).with_name("visits.html.j2"), ("client",))]

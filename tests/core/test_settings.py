"""The settings file: what is always at work, and every fault of the file at its place."""

from __future__ import annotations

import pytest

from listel.core.commands.settings import Settings, read_settings
from listel.core.survey.messages import SurveyFaults


@pytest.fixture
def settings(tmp_path):
    for name in ("acme.py", "rules.yaml"):
        (tmp_path / name).write_text("", encoding="utf-8")
    (tmp_path / "dress").mkdir()

    def read(text):
        path = tmp_path / "settings.yaml"
        path.write_text(text, encoding="utf-8")
        return read_settings(path)

    return read


def test_no_file_and_an_empty_file_set_nothing(settings, tmp_path):
    assert read_settings(tmp_path / "none.yaml") == Settings()
    empty = settings("# nothing yet\n")
    assert (empty.plugins, empty.house, empty.dress) == ((), (), None)


def test_paths_are_taken_from_the_settings_files_folder(settings, tmp_path):
    read = settings("plugins: [acme.py]\nhouse: [rules.yaml]\ndress: dress\n")
    assert read.plugins == (tmp_path / "acme.py",)
    assert read.house == (tmp_path / "rules.yaml",)
    assert read.dress == tmp_path / "dress"


def test_an_option_of_a_plugin_may_name_a_file_beside_the_settings(settings, tmp_path):
    read = settings("options: {acme: {depth: 20, figures: figures.yaml}}\n")
    assert read.options["acme"]["depth"] == 20
    assert read.file("acme", "figures") == tmp_path / "figures.yaml"
    assert read.file("acme", "other") is None and read.file("other", "figures") is None


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ("hause: [rules.yaml]", "1:1", "Did you mean house?"),
        ("house: rules.yaml", "1:8", "a list of house rules"),
        ("house: [gone.yaml]", "1:9", "there is nothing at"),
        ("plugins:\n  - acme.py\n  - gone.py", "3:5", "there is nothing at"),
        ("dress: gone", "1:8", "there is nothing at"),
        (f"dress: {'x' * 300}", "1:8", "there is nothing at"),
        ("dress: 7", "1:8", "text is expected"),
        ("dress: acme.py", "1:8", "is a file; a dress is a folder"),
        ("house: [dress]", "1:9", "is a folder; name the file in it"),
        ("house: [rules.yaml, ./rules.yaml]", "1:21", "named twice"),
        ("plugins: [dress]", "1:11", "is a folder; name the file in it"),
        ("plugins:\n  - rules.yaml", "2:5", "a plugin is a Python file"),
        ("plugins: [", "", "settings.yaml"),
        ("- a", "", "holds no settings"),
    ],
)
def test_every_fault_is_told_with_its_place(settings, text, place, says):
    with pytest.raises(SurveyFaults) as caught:
        settings(text)
    assert f"settings.yaml:{place}" in str(caught.value)
    assert says in str(caught.value)

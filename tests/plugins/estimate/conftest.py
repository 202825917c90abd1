"""The rates of the tests, the job that is priced by them, and the demo with the invented firm's."""

from __future__ import annotations

from pathlib import Path

import pytest

from listel.core.commands.cli import main

EXAMPLES = Path(__file__).parents[3] / "schemas" / "examples"


@pytest.fixture
def invented():
    return EXAMPLES / "rates-invented.yaml"


@pytest.fixture
def stair_hall():
    return EXAMPLES / "stair-hall.yaml"


@pytest.fixture
def listel(capsys):
    """Run the command: its exit status, and what it printed and told."""

    def run(*words):
        status = main([str(word) for word in words])
        came = capsys.readouterr()
        return status, came.out, came.err

    return run

"""For all tests: the shared strategies can be imported as ``strategies``, and the demo surveys are at hand."""

from __future__ import annotations

import gc
import os
import sys
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, settings

gc.disable()  # what is collected stays to the end
TESTS = Path(__file__).parent
sys.path.insert(0, str(TESTS))

os.environ["XDG_CACHE_HOME"] = tempfile.mkdtemp(prefix="listel-tests-")  # nothing kept from other runs is trusted
os.environ["XDG_CONFIG_HOME"] = os.environ["XDG_CACHE_HOME"]  # nor are the settings of whoever runs the tests
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # every core has a test to run already

try:
    import listel.core  # noqa: F401
except ModuleNotFoundError:
    pytest.exit("listel is not installed here; run: python3 -m venv .venv && .venv/bin/pip install -e '.[test]'", 4)

ANY_MACHINE = {
    "deadline": None,
    "suppress_health_check": list(HealthCheck),
    "phases": [phase for phase in Phase if phase is not Phase.explain],  # minutes, where a whole job is what fails
}
settings.register_profile("fixed", derandomize=True, max_examples=60, **ANY_MACHINE)
settings.register_profile("few", derandomize=True, max_examples=20, **ANY_MACHINE)
settings.register_profile("wide", max_examples=150, print_blob=True, **ANY_MACHINE)
settings.load_profile("fixed")
"""The same examples on every run; ``pytest --hypothesis-profile wide`` tries fresh ones."""


def pytest_collection_finish(session: pytest.Session) -> None:
    """From here on rubbish is looked for again, but not among the thousands of tests that were collected."""
    if at_places := [item.nodeid for item in session.items if " at 0x" in item.nodeid]:
        raise pytest.UsageError(f"named by a place in memory, which differs from process to process: {at_places[0]}")
    gc.freeze()
    gc.enable()


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> object:
    """Each worker goes through a stretch of the tests, in their order; one that is done takes over what another has
    left: none stands idle, and what a module sets up is set up once."""
    from xdist.scheduler import WorkStealingScheduling

    return WorkStealingScheduling(config, log)


@pytest.fixture(scope="session")
def examples() -> Path:
    """The folder of the demo surveys."""
    return TESTS.parent / "schemas" / "examples"

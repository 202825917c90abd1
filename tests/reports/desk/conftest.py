"""For the tests of the desk: a survey of its own for each, and a desk over it that is asked without a network."""

from __future__ import annotations

import asyncio
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest

from listel.core.host.firm import Firm
from listel.reports.desk.guard import Guard, Keys
from listel.reports.desk.server import Desk, _place
from listel.reports.desk.views import View

HOST = "127.0.0.1:8417"


class Asked:
    """A desk and a browser's side of it: its cookie, its origin."""

    def __init__(self, survey: Path, firm: Firm, **how: Any) -> None:
        self.survey, self.keys = survey, Keys()
        self.desk = Desk(survey, firm, **how)
        self.app: Guard = self.desk.app(frozenset([HOST]), self.keys)

    def ask(self, method: str, path: str, **given: Any) -> httpx.Response:
        """One request, as it stands."""

        async def sent() -> httpx.Response:
            transport = httpx.ASGITransport(self.app)
            async with httpx.AsyncClient(transport=transport, base_url=f"http://{HOST}") as client:
                return await client.request(method, path, **given)

        return asyncio.run(sent())

    @property
    def cookie(self) -> dict[str, str]:
        """The header of a browser that was let in."""
        return {"cookie": f"{self.keys.cookie}={self.keys.held}"}

    def get(self, path: str) -> httpx.Response:
        """A page, asked by a browser that was let in."""
        return self.ask("GET", path, headers=self.cookie)

    def post(self, path: str, told: Any, **headers: str) -> httpx.Response:
        """A change, asked by the desk's own page."""
        own = {"origin": f"http://{HOST}", "content-type": "application/json", **self.cookie, **headers}
        return self.ask("POST", path, content=told if isinstance(told, bytes) else json.dumps(told), headers=own)

    def view(self, address: str) -> View:
        """What stands on a page."""
        return self.desk._view(_place(address))

    def set(self, place: str, *drafts: tuple[str, str, str], step: str = "s") -> httpx.Response:
        """Fields typed: each with its name, what the page showed, and what was typed."""
        told = [{"name": name, "was": was, "value": value, "step": step} for name, was, value in drafts]
        return self.post("/set", {"place": place, "drafts": told})


@pytest.fixture(scope="session")
def firm() -> Firm:
    """The built-in plugins."""
    return Firm(installed=False)


@pytest.fixture
def at_desk(tmp_path: Path, examples: Path, firm: Firm) -> Callable[..., Asked]:
    """A desk over a copy of a demo survey, or over a text."""

    def begun(name: str = "plain-room", text: str = "", **how: Any) -> Asked:
        survey = tmp_path / "survey.yaml"
        if text:
            survey.write_text(text, "utf-8")
        elif not survey.exists():
            shutil.copy(examples / f"{name}.yaml", survey)
        return Asked(survey, firm, **how)

    return begun

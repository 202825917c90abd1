"""From the last key to the new drawing at the desk, beside one examination of the same survey. Run as a script::

    python tests/benchmarks/bench_desk.py

Seconds of one processor core, the least of several; the desk's answer holds one examination, two drawings, the findings
and what is missing. A pause of 0.35 s after the last key and what the browser needs to paint come on top.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import httpx

from listel.core.host.firm import Firm
from listel.reports.desk.guard import Keys
from listel.reports.desk.server import Desk

HOST = "127.0.0.1:8417"
FIELD = "rooms/0/walls/0/moisture"


def least(done: Callable[[], object], times: int = 5) -> float:
    """The least that it took, seconds of the processor."""
    took = []
    for _ in range(times):
        begun = time.process_time()
        done()
        took.append(time.process_time() - begun)
    return min(took)


def measured(example: Path, folder: Path, firm: Firm) -> tuple[float, float]:
    """Of one survey: an examination, and from the last key to the new drawing, seconds."""
    survey = folder / "survey.yaml"
    survey.write_bytes(example.read_bytes())
    keys = Keys()
    app = Desk(survey, firm).app(frozenset([HOST]), keys)
    headers = {"cookie": f"{keys.cookie}={keys.held}", "origin": f"http://{HOST}"}
    shown = [str(firm.read(survey).rooms[0].walls[0].moisture or "").removesuffix(".0")]

    async def sent(value: str) -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url=f"http://{HOST}") as client:
            drafts = [{"name": FIELD, "was": shown[-1], "value": value, "step": value}]
            return await client.post("/set", json={"place": "/room/0/wall/0", "drafts": drafts}, headers=headers)

    def typed() -> None:
        value = str(10 + len(shown))
        answer = asyncio.run(sent(value)).json()
        assert FIELD in answer["kept"], answer
        shown.append(value)

    return least(lambda: firm.examine(firm.read(survey))), least(typed)


def main() -> None:
    """Print a line a demo survey."""
    examples = Path(__file__).parents[2] / "schemas" / "examples"
    firm = Firm(installed=False)
    for name in sys.argv[1:] or ("plain-room", "us-house", "stair-hall"):
        with tempfile.TemporaryDirectory() as folder:
            once, drawn = measured(examples / f"{name}.yaml", Path(folder), firm)
        print(
            f"{name:<11} one examination {once:.3f} s, drawn after the last key {drawn:.3f} s: {drawn / once:.2f} times"
        )


if __name__ == "__main__":
    main()

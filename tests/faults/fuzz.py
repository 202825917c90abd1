"""Odd input, family by family, the same for the same seed: each must end in status 0, 1 or 2, and in words.

python tests/faults/fuzz.py --inputs 1000 --seed 1
python tests/faults/fuzz.py --family rates --only 1234
"""

from __future__ import annotations

import argparse
import asyncio
import copy
import io
import json
import os
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from random import Random
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from odd_surveys import _Maker, any_survey

from listel.core.commands.cli import main
from listel.core.host.firm import Firm
from listel.core.host.registry import load
from listel.core.survey.words import built_in_schema
from listel.core.survey.yaml_places import read_text

SCHEMAS = Path(__file__).parents[2] / "schemas"
EXAMPLES, BASES = SCHEMAS / "examples", SCHEMAS / "bases"
BASE = BASES / "one-wall.yaml"
PLAN, RATES = str(EXAMPLES / "stair-hall-plan.md"), str(EXAMPLES / "rates-invented.yaml")
TEMPLATE, PICTURE = EXAMPLES / "house-lathwise-form.html.j2", EXAMPLES / "photos" / "parlour-ghost-line.jpg"
LOGOS = ("logo.svg", "logo.png", "logo.jpg")
PIECES = (
    *(": ", "- ", "{", "}", "[", "]", "\n", "\t", '"', "'", "&a ", "*a", "!t ", "null", "~", ".nan", "-1", "true", "0"),
    *("x" * 300, "1e400", "9" * 60, "\0", "é", "\u202e", "rooms:", "length: [1]", "# ", "2' 13\"", "---\n", "1,5"),
    *(
        "{a: 1}",
        "name: A\n",
        "|\n",
        "\\",
        "<<: *a\n",
        "? ",
        "%",
        "{{ 1/0 }}",
        "{% for",
        "\ufeff",
        "\r",
        "\u2028",
        "0x1",
    ),
)
ODD = (
    *(None, True, False, -1, 0, 0.001, 1, 7, 1e-300, 1e53, 1e308, 10**60, "", " ", "\u202e", "\ud800", "x" * 5000),
    *([], {}, [[[[]]]], [None], {"": 0}, {"first": 1}, "{{ 1/0 }}", "{{ a.b.c }}", "=1+1", "\0", "2026-02-30"),
    *(
        "9999-12-31",
        "3' 4\"",
        "3 m",
        "-3 mm",
        "1e53 mm",
        "nan",
        "inf",
        "about 1890",
        "90°",
        "7 %",
        "../x",
        "/",
        "(a+)+$",
    ),
)
FIGURES = ("0", "-1", "0.001", "1e9", "1e53", "nan", "", "x", "3' 4\"", "--", "9" * 400, "\u0663", "1_000", "½")
SANE = {
    "length": ("3000", "45", "3.2 m", "600 mm", "12 in"),
    "angle": ("90", "91.5", "45", "0", "180", "359"),
    "temperature": ("20", "5 C", "70 F", "-40"),
    "percent": ("8", "12 %", "50", "0", "100"),
    "number": ("1", "0.5", "350", "20"),
    "count": ("1", "4", "0", "40"),
    "text": ("A", "pine", "european-redwood", "900 of 90 90", "3 x 2100"),
}
Given = list[str]
ODD_FILE = "odd.yaml"


# ---------------------------------------------------------------- what is made


@cache
def data_of(path: Path) -> Any:
    """The data of a file of ours."""
    return read_text(path.read_text("utf-8"), path.name).data


def bent_text(random: Random, text: str) -> str:
    """The text with a few pieces put in, for something or between."""
    for _ in range(random.choice((1, 1, 2, 3, 8))):
        at = random.randrange(len(text) + 1)
        text = text[:at] + random.choice(PIECES) + text[at + random.choice((0, 0, 1, 5, 40)) :]
    return text


def bent(random: Random, data: Any) -> Any:
    """The data with a few of its values gone, doubled, exchanged, or of another kind."""
    data = copy.deepcopy(data)
    for _ in range(random.choice((1, 1, 2, 3, 8))):
        node, key = random.choice(list(_places(data)) or [({"": data}, "")])
        turn = random.random()
        if turn < 0.6:
            node[key] = copy.deepcopy(random.choice(ODD))  # a list of ours must not come into itself
        elif turn < 0.75:
            del node[key]
        elif isinstance(node, list):
            node.insert(random.randrange(len(node) + 1), copy.deepcopy(node[key]))
        else:
            node[random.choice(("zz", "name", "", key + "s", *node))] = copy.deepcopy(node[key])
    return data


def _places(data: Any) -> Iterator[tuple[Any, Any]]:
    if isinstance(data, (dict, list)):
        for key in list(data) if isinstance(data, dict) else range(len(data)):
            yield data, key
            yield from _places(data[key])


def as_text(random: Random, data: Any) -> str:
    """Data as JSON, which is YAML too."""
    return json.dumps(data, indent=random.choice((None, 1)), ensure_ascii=True)


def odd_file(random: Random, folder: Path, base: Path, name: str = ODD_FILE) -> str:
    """A file of ours bent, by its text or by its data; now and then it is no text at all."""
    path = folder / name
    if random.random() < 0.02:
        path.write_bytes(random.randbytes(random.randrange(200)))
        return str(path)
    by_text = random.random() < 0.5 or base.suffix not in (".yaml", ".json")
    text = bent_text(random, base.read_text("utf-8")) if by_text else as_text(random, bent(random, data_of(base)))
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    return str(path)


def bent_bytes(random: Random, content: bytes) -> bytes:
    """Bytes with a few flipped, put in or cut off, most of them near the beginning, where their form is told."""
    if random.random() < 0.1:
        return content[: random.randrange(len(content))]
    bent = bytearray(content)
    for _ in range(random.choice((1, 2, 8, 60))):
        at = random.randrange(len(bent) if random.random() < 0.4 else min(700, len(bent)))
        new = random.choice((bytes([bent[at] ^ 1 << random.randrange(8)]), b"\xff\xff", b"\0\0\0\0", b"", b"</svg>"))
        bent[at : at + random.choice((1, 1, 4))] = new
    return bytes(bent)


# ---------------------------------------------------------------- the families: each gives the words of a command


def survey(random: Random, folder: Path) -> Given:
    """A survey of ours bent, read back."""
    base = random.choice((BASE, BASES / "whole-room.yaml", EXAMPLES / "plain-room.yaml", EXAMPLES / "us-house.yaml"))
    return ["survey", odd_file(random, folder, base), *random.choice(((), ("--json",)))]


def structure(random: Random, folder: Path) -> Given:
    """A survey that the form makes of all that it knows, then bent, read back; one in eight worked to its end."""
    if random.random() < 0.5:
        data = read_text(any_survey(random.randrange(1 << 30)), ODD_FILE).data
    else:
        data = data_of(random.choice((*BASES.glob("*.yaml"), *EXAMPLES.glob("*-h*.yaml"))))
    path = folder / ODD_FILE
    path.write_text(as_text(random, bent(random, data)), "utf-8")
    ends = (["survey", "--json"], ["statement", "--json"], ["cutting"], ["audit", "--plan", PLAN], ["done", "--json"])
    return [*(random.choice(ends) if random.random() < 0.12 else ["survey"]), str(path)]


def whole(random: Random, folder: Path) -> Given:
    """A survey that the form lets through, worked to its end."""
    path = folder / ODD_FILE
    path.write_text(any_survey(random.randrange(1 << 30)), "utf-8")
    end = random.choice(
        (["statement", "--json"], ["cutting", "--json"], ["estimate"], ["done"], ["audit", "--plan", PLAN])
    )
    return [*end, str(path)]


def small(random: Random, folder: Path) -> Given:
    """A small survey bent a little, worked to its end."""
    base = odd_file(random, folder, BASE)
    end = random.choice((["statement", "--json"], ["cutting"], ["estimate", "--rates", RATES]))
    return [*end, base]


def house(random: Random, folder: Path) -> Given:
    """House rules bent, read, and now and then laid on a small job."""
    path = odd_file(random, folder, EXAMPLES / random.choice(("house-plumbline.yaml", "house-lathwise.yaml")))
    return [*(["statement", "--json"] if random.random() < 0.2 else ["survey"]), str(BASE), "--house", path]


def plan(random: Random, folder: Path) -> Given:
    """A plan in words or YAML, held against a small job."""
    if random.random() < 0.5:
        path = odd_file(random, folder, EXAMPLES / "stair-hall-plan.md", "odd.md")
    else:
        lines = (EXAMPLES / "stair-hall-plan.md").read_text("utf-8").splitlines()
        told: list[Any] = [{"step": "cut", "does": line} if random.random() < 0.1 else line for line in lines if line]
        path = str(folder / ODD_FILE)
        Path(path).write_text(as_text(random, bent(random, told)), "utf-8")
    return ["audit", str(BASE), "--plan", path]


def outcomes(random: Random, folder: Path) -> Given:
    """Two outcomes, of which one is bent."""
    right = folder / "right.json"
    right.write_text(_outcome(), "utf-8")
    text = as_text(random, bent(random, json.loads(_outcome()))) if random.random() < 0.7 else ""
    (folder / "odd.json").write_text(text or bent_text(random, _outcome()), "utf-8")
    pair = [str(right), str(folder / "odd.json")]
    return ["compare", *random.sample(pair, 2), *random.choice(((), ("--json",)))]


@cache
def _outcome() -> str:
    _, out, _ = called(["statement", "--json", str(BASE)])
    return out


def dress(random: Random, folder: Path) -> Given:
    """A firm's dress bent: one of its templates, its style sheet or its logo."""
    of_the_firm = folder / "dress"
    shutil.copytree(EXAMPLES / "dress", of_the_firm)
    name = random.choice(
        ("title.html.j2", "title.html.j2", "opening.html.j2", "heights.html.j2", "statement.css", *LOGOS)
    )
    path, own = of_the_firm / name, EXAMPLES / "dress" / name
    start = own.read_bytes() if own.is_file() else random.choice((PICTURE.read_bytes(), TEMPLATE.read_bytes()))
    if path.suffix in (".j2", ".css") or random.random() < 0.3:
        path.write_bytes(bent_text(random, start.decode("utf-8", "replace")).encode("utf-8", "surrogatepass"))
    else:
        path.write_bytes(bent_bytes(random, start))
    forms = ["--pdf", "--word"] if path.name in LOGOS and random.random() < 0.1 else []
    return ["statement", str(BASE), "--dress", str(of_the_firm), "--out", str(folder), *forms]


def photographs(random: Random, folder: Path) -> Given:
    """A small survey with a photograph whose bytes are bent, in the statement or the client's paper."""
    (folder / "a.jpg").write_bytes(bent_bytes(random, PICTURE.read_bytes()))
    data = data_of(BASE) | {"photos": [{"name": "P1", "file": "a.jpg", "shows": "the wall"}]}
    (folder / ODD_FILE).write_text(as_text(random, data), "utf-8")
    end = random.choice((["--json"], [], ["--for", "client"], ["--pdf"]))
    return ["statement", str(folder / ODD_FILE), "--out", str(folder), *end]


def settings(random: Random, folder: Path) -> Given:
    """The user's settings bent."""
    (folder / "dress").mkdir(exist_ok=True)
    data = {"plugins": [], "house": [str(EXAMPLES / "house-plumbline.yaml")], "dress": "dress"}
    data["options"] = {"estimate": {"rates": RATES}}
    text = as_text(random, bent(random, data)) if random.random() < 0.7 else bent_text(random, json.dumps(data))
    (folder / ODD_FILE).write_text(text, "utf-8")
    os.environ["LISTEL_SETTINGS"] = str(folder / ODD_FILE)
    return random.choice((["plugins"], ["survey", str(BASE)]))


def rates(random: Random, folder: Path) -> Given:
    """A firm's rates bent, and what a small job costs by them."""
    return ["estimate", str(BASE), "--rates", odd_file(random, folder, EXAMPLES / "rates-invented.yaml")]


def reckon(random: Random, folder: Path) -> Given:
    """A calculation with figures that are right in kind, and others."""
    del folder
    reckoner = random.choice(list(_reckoners().values()))
    words = ["reckon", reckoner.name]
    for option in reckoner.options:
        if random.random() > (0.97 if option.required else 0.4):
            continue
        for _ in range(random.choice((1, 2, 5)) if option.many else 1):
            right = option.choices or SANE.get(option.kind, ("1",))
            value = random.choice(right if random.random() < 0.85 else FIGURES)
            words.append(f"--{option.name}" if option.kind == "flag" else f"--{option.name}={value}")
    return [*words, *(["--json"] if random.random() < 0.3 else [])]


@cache
def _reckoners() -> dict[str, Any]:
    return load(entry_points=False).reckoners()


def records(random: Random, folder: Path) -> Given:
    """A survey with records, work done, joints and departures made by the form, and now and then bent."""
    data = copy.deepcopy(data_of(BASE))
    form = built_in_schema()["properties"]
    for key in random.sample(("records", "done", "joints", "departures", "changes", "actual", "plan", "photos"), 3):
        data[key] = _Maker(random, fullness=random.choice((0.2, 0.9))).value(form[key], key)
    data = bent(random, data) if random.random() < 0.3 else data
    path = folder / ODD_FILE
    path.write_text(as_text(random, data), "utf-8")
    return [*random.choice((["survey"], ["survey"], ["done"], ["cutting", "--open"])), str(path)]


def done(random: Random, folder: Path) -> Given:
    """What is done or measured again, told in words."""
    path = folder / ODD_FILE
    path.write_text(BASE.read_text("utf-8"), "utf-8")
    words = random.choices((*_labels(), *_labels(), "P9", "", "x" * 300, "\u202e"), k=random.choice((0, 1, 1, 2)))
    told = {
        "by": ("A. Nobody", "", "\u202e", "a: [b"),
        "on": ("2026-03-14", "today", "2026-02-30", "9999-12-31"),
        "state": ("cut", "fixed", "spoilt", "gone"),
        "step": ("cut", "fix", "lead-check", "x", ""),
        "wall": ("Hall/A", "Hall/B", "Hall", "/"),
        "length": ("3610", "3.61 m", *FIGURES),
        "angle": ("90.5", *FIGURES),
        "why": ("the plaster is off", "", "{{ a }}", ": - #"),
    }
    chosen = [(key, values) for key, values in told.items() if key == "by" or random.random() < 0.3]
    return ["done", str(path), *words, *(f"--{key}={random.choice(values)}" for key, values in chosen)]


@cache
def _labels() -> tuple[str, ...]:
    _, out, _ = called(["done", str(BASE), "--json"])
    return tuple(json.loads(out))


# ---------------------------------------------------------------- the desk


@cache
def _firm() -> Firm:
    return Firm(installed=False)


def desk(random: Random, folder: Path) -> str:
    """A request of the desk; what is wrong with its answer, else nothing."""
    import httpx

    from listel.reports.desk.guard import Keys
    from listel.reports.desk.server import Desk

    path = folder / ODD_FILE
    if random.random() < 0.3:
        odd_file(random, folder, BASE)
    else:
        path.write_text(BASE.read_text("utf-8"), "utf-8")
    keys, host = Keys(), "127.0.0.1:8417"
    app = Desk(path, _firm()).app(frozenset([host]), keys)
    method, address, body = _request(random)
    headers = {"cookie": f"{keys.cookie}={keys.held}", "origin": f"http://{host}", "content-type": "application/json"}

    async def sent() -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url=f"http://{host}") as client:
            return await client.request(method, address, content=body, headers=headers)

    status = asyncio.run(sent()).status_code
    return f"{method} {address} {body[:200]!r}: status {status}" if status == 500 else ""


PAGES = (
    *("/", "/room/0", "/room/9/wall/0", "/room/0/wall/99999999", "/job", "/trim", "/records", "/open", "/papers"),
    *("/state?place=/room/0", "/state?place=//", "/paper/x", "/paper/survey", "/photos/..%2Fx", "/photos/a.jpg"),
)
CHANGES = ("/set", "/set", "/set", "/add", "/take", "/undo", "/redo", "/photo", "/audit", "/compare")
FIELDS = ("rooms/0/walls/0/length/first", "rooms/0/walls/0/moisture", "trim/0/section", "job/title", "rooms", "zz", "")


def _request(random: Random) -> tuple[str, str, bytes]:
    if random.random() < 0.3:
        return "GET", random.choice(PAGES), b""
    value = random.choice(("3640", "x", "[", *FIGURES, *map(str, ODD)))
    draft = {"name": random.choice(FIELDS), "was": random.choice(("3600", "")), "value": value, "step": "s"}
    told = {
        "place": random.choice(("/room/0", "/job", "//", "")),
        "drafts": [draft],
        "name": random.choice(FIELDS),
        "kind": random.choice(("", "wall", "room")),
        "mark": "x",
        "wall": random.choice(("rooms/0/walls/0", *FIELDS)),
        "plan": value,
        "outcome": _outcome() if random.random() < 0.2 else value,
        "data": value,
    }
    told = bent(random, told) if random.random() < 0.5 else told
    return "POST", random.choice(CHANGES), as_text(random, told).encode()


# ---------------------------------------------------------------- what must hold

COMMANDS: dict[str, tuple[int, Callable[[Random, Path], Given]]] = {
    "survey": (35, survey),
    "structure": (12, structure),
    "whole": (2, whole),
    "small": (6, small),
    "house": (10, house),
    "plan": (6, plan),
    "outcomes": (5, outcomes),
    "dress": (4, dress),
    "photos": (3, photographs),
    "settings": (8, settings),
    "rates": (6, rates),
    "reckon": (14, reckon),
    "records": (8, records),
    "done": (5, done),
}
"""Family: (its share of the inputs, what makes the words of its command)."""
SHARES = {name: share for name, (share, _) in COMMANDS.items()} | ({"desk": 6} if find_spec("httpx") else {})
AMISS = re.compile(r"Traceback|nobody foresaw|engine/(?:stage|plugin|section)-failed|[a-z]+Error\b")
_PLACED = re.compile(rf"{re.escape(ODD_FILE)}(?::[1-9][0-9]*:[1-9][0-9]*: |: (?:the file|this file|and [0-9]+ faults))")
_DRESSED = re.compile(r"dress/[a-z.0-9-]+(?::[1-9][0-9]*|, line [1-9][0-9]*)?: |a picture cannot be put on paper")


def called(words: Given) -> tuple[int, str, str]:
    """Status, output and complaints of a command."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        try:
            status = main(words)
        except SystemExit as ended:
            status = int(ended.code or 0)
    return status, out.getvalue(), err.getvalue()


def wrong(family: str, seed: int) -> str:
    """What is wrong with how the input of that seed ended; nothing where all is well."""
    random = Random(f"{family} {seed}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ["XDG_CONFIG_HOME"] = os.environ["XDG_STATE_HOME"] = name
        os.environ.pop("LISTEL_SETTINGS", None)
        try:
            if family == "desk":
                return desk(random, folder)
            words = COMMANDS[family][1](random, folder)
            status, out, err = called(words)
        except Exception as error:  # told as a failure of this input, and the next is tried
            import traceback

            return f"{error!r}\n{''.join(traceback.format_tb(error.__traceback__)[-3:])}"
        finally:
            os.environ.pop("LISTEL_SETTINGS", None)
        traces = "".join(path.read_text("utf-8")[-900:] for path in folder.glob("listel/error-*.txt"))
    line = " ".join(words)[:300]
    if status not in (0, 1, 2):
        return f"{line}: status {status}"
    if traces or (found := AMISS.search(err + out)) is not None:
        at = found.start() if not traces and found else 0
        return f"{line}: {traces or (err + out)[max(0, at - 100) : at + 400]}"
    if status == 2 and (family, words[0]) != ("reckon", "reckon") and not _in_place(words, err):
        return f"{line}: {err[:400] or 'no word of why'}"
    return ""


def _in_place(words: Given, err: str) -> bool:
    """Whether every complaint of a YAML file names file, line and column, or the file as a whole; of a dress its file;
    of others, that there is one."""
    if words[0] in ("compare", "done") or "odd.md" in " ".join(words):
        return bool(err.strip())
    placed = _DRESSED if "--dress" in words else _PLACED
    lines = [line for line in err.splitlines() if line.strip()]
    return bool(lines) and all(placed.search(line) for line in lines)


def run(inputs: int, seed: int, family: str = "") -> list[tuple[str, int, str]]:
    """Try so many inputs, by the families' shares, and print a line for each family; what failed."""
    shares = {family: 1} if family else SHARES
    failed: list[tuple[str, int, str]] = []
    for name, share in shares.items():
        began, before = time.monotonic(), len(failed)
        count = max(1, round(inputs * share / sum(shares.values())))
        for each in range(seed, seed + count):
            if says := wrong(name, each):
                failed.append((name, each, says))
                print(f"  --family {name} --only {each}: {says}", flush=True)
        spent = time.monotonic() - began
        print(f"{name:<9} {count:>6} inputs, {len(failed) - before} failed, {spent:.0f} s", flush=True)
    return failed


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Try odd input, and print what ends otherwise than in words.")
    parser.add_argument("--inputs", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--family", default="", choices=("", *SHARES))
    parser.add_argument("--only", type=int, help="the one input of this number, of a family")
    asked = parser.parse_args()
    if asked.only is not None:
        sys.exit(wrong(asked.family, asked.only) or 0)
    sys.exit(1 if run(asked.inputs, asked.seed * 1_000_000, asked.family) else 0)

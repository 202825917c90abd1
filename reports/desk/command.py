"""``listel desk SURVEY``: make the survey in the browser, with its drawings and findings as one types."""

from __future__ import annotations

import argparse
import gc
import json
import socket
import sys
from importlib.util import find_spec
from pathlib import Path

from listel.core.commands.run import add_plugin_arguments, firm_of
from listel.core.commands.settings import read_settings
from listel.core.files import beside, write_whole
from listel.core.survey.faults import InputFault
from listel.plugins.estimate import add_rates_argument, given_rates

PORT = 8417
"""Where the desk is found unless told: always the same, so that a browser finds what it kept."""
_NEEDS = ("starlette", "uvicorn", "segno")
_NOBODY = "192.0.2.1"
"""An address that is nobody's (RFC 5737): asking the way to it sends nothing, and names our own."""
NOT_ENCRYPTED = (
    "This connection is not encrypted: whoever is on the network can read what passes, and could pose as the desk. "
    "Use it only on a network you trust: your own, or the phone's own hotspot."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    parser.add_argument("survey", type=Path, metavar="SURVEY", help="the survey file (YAML)")
    parser.add_argument("--new", action="store_true", help="begin the survey: there is no such file yet")
    parser.add_argument(
        "--port", type=int, default=None, metavar="N", help=f"where it listens (default: {PORT}; 0: any that is free)"
    )
    parser.add_argument("--no-open", action="store_true", help="do not open the browser")
    parser.add_argument(
        "--phone", action="store_true", help="let one phone on the same network in; it is shown a code to read"
    )
    parser.add_argument("--json", action="store_true", help="print the address as one line of JSON")
    add_plugin_arguments(parser)
    add_rates_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """Serve the desk until it is stopped; 0. Raises InputFault where it cannot begin."""
    if any(find_spec(name) is None for name in _NEEDS):
        raise InputFault("the desk needs more than is installed; install it with: pip install 'listel[desk]'")
    survey = _survey(arguments.survey, arguments.new)
    import uvicorn

    from listel.reports.desk.guard import Keys
    from listel.reports.desk.server import Desk

    desk = Desk(
        survey,
        firm_of(arguments),
        rates=given_rates(arguments),
        dress=read_settings().dress,
        open_line=arguments.phone,
    )
    desk.journal.begin()
    home = _listening("127.0.0.1", arguments.port)
    port = home.getsockname()[1]
    names, sockets = ["127.0.0.1", "localhost"], [home]
    keys = Keys()
    told = {"survey": str(survey), "address": f"http://127.0.0.1:{port}/?key={keys.door}"}
    if arguments.phone:
        own = _own_address()
        sockets.append(_listening(own, port))
        names.append(own)
        told["phone"] = f"http://{own}:{port}/?key={keys.for_one()}"
    app = desk.app(frozenset(f"{name}:{port}" for name in names), keys)
    _announce(told, as_json=arguments.json)
    if not arguments.no_open:
        import webbrowser

        webbrowser.open(told["address"])
    gc.set_threshold(700, 10, 10)  # unlike the other commands, this one lives long
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        ws="none",
        lifespan="off",
        limit_concurrency=60,
        timeout_keep_alive=5,
        timeout_graceful_shutdown=1,
        server_header=False,
        proxy_headers=False,
    )
    try:
        uvicorn.Server(config).run(sockets=sockets)
    except KeyboardInterrupt:
        print(f"the desk is closed; {survey} holds what was kept", file=sys.stderr)
    return 0


def _survey(path: Path, new: bool) -> Path:
    """The survey's file itself, begun where it is new. Raises InputFault where there is none, or one already."""
    if new:
        if path.exists() or path.is_symlink():
            raise InputFault(f"{path}: there is a file of this name, and it stays as it is; leave --new out to open it")
        write_whole(path, _begun(beside("listel.schemas", "starter.yaml").read_text(encoding="utf-8")))
    elif not path.is_file():
        raise InputFault(f"{path}: there is no such file; --new begins one")
    return path.resolve()


def _begun(starter: str) -> str:
    """The starter without the examples that it holds for those who write the file: a form asks for these."""
    return "".join(line for line in starter.splitlines(keepends=True) if line.strip() and line.lstrip()[0] != "#")


def _listening(host: str, port: int | None) -> socket.socket:
    """A socket that listens. Raises InputFault where the port is taken; where none was named, another is taken then."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, PORT if port is None else port))
    except (OSError, OverflowError) as error:
        listening.close()
        if port is None:
            return _listening(host, 0)
        why = getattr(error, "strerror", None) or error
        raise InputFault(f"--port {port}: the desk cannot listen there: {why}; 0 takes any that is free") from None
    listening.listen(64)
    return listening


def _own_address() -> str:
    """This machine's own address on the network. Raises InputFault where it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect((_NOBODY, 9))
        except OSError as error:
            raise InputFault(f"--phone: this machine is on no network: {error.strerror}") from None
        return str(asking.getsockname()[0])


def _announce(told: dict[str, str], *, as_json: bool) -> None:
    """Where the desk is found: a line, and for a phone a code to read."""
    if as_json:
        print(json.dumps(told), flush=True)
        return
    print(f"{told['survey']}: the desk is open at\n  {told['address']}\nStop it with Ctrl-C.", flush=True)
    if "phone" in told:
        import segno

        print(f"\nFor one phone, once:\n  {told['phone']}\n{NOT_ENCRYPTED}\n")
        segno.make(told["phone"], error="m").terminal(compact=True)
        sys.stdout.flush()

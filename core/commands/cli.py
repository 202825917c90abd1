"""The command ``listel``. Each command's module is imported only when it is called."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module

COMMANDS: dict[str, tuple[str, str]] = {
    "survey": (
        "listel.reports.survey_command",
        "start a survey, read one back and say what it lacks, draw its rooms, or print a form for the site",
    ),
    "desk": ("listel.reports.desk.command", "make the survey in the browser, with its drawings as you type"),
    "statement": ("listel.reports.command", "write the method statement"),
    "cutting": ("listel.plugins.cutting.command", "write the cutting list"),
    "done": ("listel.reports.done_command", "tell which pieces are cut, fixed or spoilt, or what a wall reads now"),
    "estimate": ("listel.plugins.estimate.command", "say what the work costs, by the firm's own rates"),
    "estate": ("listel.reports.estate.command", "examine many surveys at once, and pool their timber"),
    "audit": ("listel.plugins.sequence.command", "hold a plan of work against what this job needs"),
    "grounds": ("listel.core.commands.grounds", "say why a finding or a figure is what it is"),
    "compare": ("listel.reports.compare_command", "say what changed between two outcomes"),
    "reckon": ("listel.core.commands.reckon", "make one calculation, without a survey"),
    "plugins": ("listel.core.commands.plugins", "say what is installed, in running order"),
}
"""Command: (its module, with ``add_arguments(parser)`` and ``run(arguments) -> exit status``; one line of help)."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command. Exit status: 0 done and nothing held; 1 done, with open holds or missed steps; 2 unreadable
    input, or an error nobody foresaw; 130 or 143 stopped; 141 the reader of the output went away."""
    try:
        return _called(list(sys.argv[1:] if argv is None else argv))
    except BrokenPipeError:
        return _reader_gone()
    except OSError as error:
        print(f"{error.filename or 'a file'}: {error.strerror or error}", file=sys.stderr)
    except KeyboardInterrupt as stopped:
        print(_stopped(), file=sys.stderr)
        return 143 if isinstance(stopped, Terminated) else 130
    except Exception as error:
        from listel.core.survey.faults import InputFault

        print(error if isinstance(error, InputFault) else _unforeseen(), file=sys.stderr)
    return 2


def _called(words: list[str]) -> int:
    """The exit status of the command that the words call."""
    if words and words[0] not in COMMANDS and not words[0].startswith("-"):
        from listel.core.survey.messages import did_you_mean

        print(f"listel has no command {words[0]}.{did_you_mean(words[0], COMMANDS, 'it has')}", file=sys.stderr)
        return 2
    for word in words:
        if word.startswith("--") and word.endswith("=--"):  # argparse would give the option no text at all
            print(f"{word}: -- is no value; say what stands after the =", file=sys.stderr)
            return 2
    parser = _parser(words)
    arguments, rest = parser.parse_known_args(words)
    if rest and (not hasattr(arguments, "words") or any(word.startswith("-") for word in rest)):
        parser.error(f"unrecognized arguments: {' '.join(rest)}")
    if rest:  # words after an option: argparse takes only those before it
        arguments.words += rest
    if not arguments.command:
        parser.print_help()
        return 0
    return int(arguments.run(arguments))


PIPE_CLOSED = 141
"""Exit status where the reader of our output went away before its end, as a shell tells it of any program."""


class Terminated(KeyboardInterrupt):
    """The process was asked to end."""


def _reader_gone() -> int:
    """What is left to write goes nowhere."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return PIPE_CLOSED


def _terminate(_number: int, _frame: object) -> None:
    raise Terminated


def _stopped() -> str:
    """What a person is told who stopped the command."""
    from listel.core.files import WRITTEN

    new = ", ".join(map(str, dict.fromkeys(WRITTEN)))
    return f"stopped; written before that: {new}" if new else "stopped; no file was changed"


def _unforeseen() -> str:
    """What a person is told of an error nobody foresaw; its trace is kept in a file of its own."""
    from contextlib import suppress
    from time import strftime
    from traceback import format_exc

    from listel.core.files import state_folder, write_whole

    says = "listel could not go on: an error that nobody foresaw"
    folder, trace = state_folder(), format_exc()
    if folder is not None:
        path = folder / f"error-{strftime('%Y%m%d-%H%M%S')}-{os.getpid()}.txt"
        with suppress(OSError, ValueError):
            write_whole(path, f"{' '.join(sys.argv)}\n\n{trace}")
            return f"{says}. Please send {path} to whoever keeps listel for you."
    return f"{says}: {trace.strip().splitlines()[-1][:400]}"


def program() -> int:
    """The command as a process of its own. It lives briefly, so its memory is hardly searched for rings of garbage, and
    not once more at the end: that takes a tenth of a statement's time. Sums over numbers are small here, and several
    threads at one only wait for each other: a quarter of the time of a statement with a plan."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(1_000_000, 20, 20)
    if COMMANDS.keys() & sys.argv:  # without one it only prints
        import signal

        signal.signal(signal.SIGTERM, _terminate)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a terminal that knows fewer letters is shown a ? for the others
            stream.reconfigure(errors="replace")
    try:
        status = main()
        sys.stdout.flush()
    except BrokenPipeError:
        status = _reader_gone()
    except KeyboardInterrupt:  # before the command began, or a second time
        status = 130
    gc.freeze()
    return status


def _parser(words: list[str]) -> argparse.ArgumentParser:
    """The parser with the command that the words call, and with the others where they might be asked for."""
    from listel import __version__

    called = next((word for word in words if word in COMMANDS), "")
    parser = argparse.ArgumentParser(
        prog="listel", description="One survey of a trim job in; a method statement, cutting list and audit out."
    )
    parser.add_argument("--version", action="version", version=f"listel {__version__}")
    commands = parser.add_subparsers(prog="listel", dest="command", metavar="COMMAND")
    for name in [called] if words[:1] == [called] else COMMANDS:
        module, says = COMMANDS[name]
        command = commands.add_parser(
            name, help=says, add_help=name == called, description=f"{says[0].upper()}{says[1:]}."
        )
        if name == called:
            loaded = import_module(module)
            loaded.add_arguments(command)
            command.set_defaults(run=loaded.run)
    return parser

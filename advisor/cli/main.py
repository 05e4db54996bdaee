"""The command line: one thin file a group of commands, imports where they are needed."""

from __future__ import annotations

import gc
import io
import os
import signal
import sys
from collections.abc import Sequence
from types import FrameType
from typing import NoReturn

import typer

from advisor.cli import (
    advise_commands,
    ask_command,
    check_command,
    compare_command,
    practise_command,
    records_commands,
    rules_commands,
    sheet_command,
    triage_command,
)
from advisor.cli.exits import Exit, end_with
from advisor.cli.shared import drop_output, reader_gone

# Looking for plugins of pydantic walks through all installed packages; there are none to find.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

# Rules and knowledge are many small things that stay: looking for garbage among them is in vain.
gc.set_threshold(200_000)

app = typer.Typer(
    name="crackwright",
    help="Explained, checkable repair procedures for cracked castings.",
    epilog="Example: crackwright ask pump.yaml, then crackwright advise pump.yaml",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
ask_command.register(app)
advise_commands.register(app)
rules_commands.register(app)
sheet_command.register(app)
triage_command.register(app)
compare_command.register(app)
check_command.register(app)
records_commands.register(app)
practise_command.register(app)


@app.callback(invoke_without_command=True)
def _program(
    version: bool = typer.Option(False, "--version", help="Print the version and end."),
) -> None:
    if version:
        from advisor import __version__

        typer.echo(f"crackwright {__version__}")
        raise typer.Exit(Exit.DONE)


def _interrupted(_signal: int, _frame: FrameType | None) -> NoReturn:
    raise SystemExit(Exit.INTERRUPTED)


def run() -> NoReturn:
    """Run the program; ends the process with a documented exit code."""
    signal.signal(signal.SIGINT, _interrupted)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that lacks a character gets a "?"
    code = main()
    gc.freeze()  # the memory goes with the process: taking it apart first takes a tenth of a second
    raise SystemExit(code)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give back its exit code."""
    try:
        app(arguments, prog_name="crackwright")
    except SystemExit as end:
        return _flushed(end.code if isinstance(end.code, int) else Exit.DONE)
    except Exception as error:
        return _flushed(end_with(error))
    return Exit.DONE


def _flushed(code: int) -> int:
    """The exit code once what was written is out, or what to end with where it cannot get out."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        reader_gone()
    except OSError as error:
        drop_output()
        return code or end_with(error)
    return code


if __name__ == "__main__":
    run()

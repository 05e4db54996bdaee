"""The command line: one thin file a group of commands, imports where they are needed."""

from __future__ import annotations

import signal
import sys
from types import FrameType

import typer

from advisor.cli import advise_commands, rules_commands
from advisor.cli.exits import Exit, end_with

app = typer.Typer(
    name="crackwright",
    help="Explained, checkable repair procedures for cracked castings.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
advise_commands.register(app)
rules_commands.register(app)


@app.callback(invoke_without_command=True)
def _program(
    version: bool = typer.Option(False, "--version", help="Print the version and end."),
) -> None:
    if version:
        from advisor import __version__

        typer.echo(f"crackwright {__version__}")
        raise typer.Exit(Exit.DONE)


def _interrupted(_signal: int, _frame: FrameType | None) -> None:
    raise SystemExit(Exit.INTERRUPTED)


def run() -> None:
    """Run the program; ends the process with a documented exit code."""
    signal.signal(signal.SIGINT, _interrupted)
    try:
        app()
    except BrokenPipeError:
        sys.stderr.close()
        raise SystemExit(Exit.DONE) from None
    except Exception as error:
        raise SystemExit(end_with(error)) from None


if __name__ == "__main__":
    run()

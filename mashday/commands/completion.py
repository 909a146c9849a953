"""The command that hands out what a shell needs to complete commands and options."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator

from mashday.commands import output


def completion(options: argparse.Namespace) -> int:
    """Writes the completion for this shell; `options.whole` is the parser of the whole command line."""
    try:
        import shtab  # noqa: PLC0415 - an extra of its own
    except ModuleNotFoundError:
        print(
            "mashday: completion is made by an extra that is not installed. Install it with:"
            " pip install 'mashday[completion]'",
            file=sys.stderr,
        )
        return output.NOT_DONE
    for action in _actions(options.whole):
        if action.metavar in ("FILE", "SESSION"):
            action.complete = shtab.FILE  # type: ignore[attr-defined]
        elif action.metavar == "DIR":
            action.complete = shtab.DIRECTORY  # type: ignore[attr-defined]
    return output.write(options, shtab.complete(options.whole, shell=options.shell))


def _actions(parser: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    """Every argument of this parser and of those below it."""
    for action in parser._actions:
        yield action
        if isinstance(action, argparse._SubParsersAction):
            for below in action.choices.values():
                yield from _actions(below)

"""The command line: arguments, wiring and the only printer of errors.

Nothing heavy is imported before a command needs it. Exit codes: 0 done, or left open on purpose; 1 could
not be done (disk, lock, not saved); 2 refused (usage, file, infeasible day); 3 our own fault, with a crash
note; 128 + n for signal n.
"""

from __future__ import annotations

import argparse
import importlib
import io
import os
import re
import signal
import sys
from collections.abc import Callable
from pathlib import Path

from mashday import __version__
from mashday.arguments import parser

DONE, NOT_DONE, REFUSED, OUR_FAULT = 0, 1, 2, 3


def main(arguments: list[str] | None = None) -> int:
    """Runs the command line and returns its exit code."""
    given = _with_negative_values(sys.argv[1:] if arguments is None else arguments)
    _whatever_the_encoding()
    whole = parser()
    if (meant := _no_command(whole, given)) is not None:
        _say(meant)
        return REFUSED
    options, unknown = whole.parse_known_args(given)
    if unknown:
        return _not_understood(options, unknown)
    if _lacks_a_value(options):
        _say("-- stands where a value belongs. Give the option its value, or leave it out.")
        return REFUSED
    try:
        return _carried_out(options)
    except KeyboardInterrupt:
        _say(f"Stopped. A day that was running is open; go on with: mashday resume{_in_folder(options)}")
        return 128 + signal.SIGINT
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except Exception as error:
        return _failed(error)


def _commands(whole: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """Every command by its name."""
    below = [action for action in whole._actions if isinstance(action, argparse._SubParsersAction)]
    return {name: made for action in below for name, made in action.choices.items()}


def _no_command(whole: argparse.ArgumentParser, given: list[str]) -> str | None:
    """What is to be said of a first word that is no command, with what would do; None if it is one, or an
    option."""
    known = _commands(whole)
    if not given or given[0] in known or given[0][:1] in ("", "-"):
        return None
    from mashday.schedule.samples import sample_names
    from mashday.text import cleaned, nearest, quoted, shell_word

    word = given[0]
    if word.endswith(".toml") or os.path.isfile(word) or word in sample_names():
        named = shell_word(Path(word))
        return f"{quoted(word)} is a schedule, no command. Did you mean: mashday run {named}"
    begins = [name for name in known if name.startswith(cleaned(word).casefold())]
    near = begins[0] if len(begins) == 1 else nearest(word, known)
    meant = f" Did you mean: mashday {near}" if near else " See: mashday --help"
    return f"{quoted(word)} is no command.{meant}"


def _in_folder(options: argparse.Namespace) -> str:
    """The option for the sessions folder as it was given, to stand behind a command; "" where it was not."""
    if options.sessions is None:
        return ""
    from mashday.text import shell_word

    return f" --sessions {shell_word(Path(options.sessions))}"


def _not_understood(options: argparse.Namespace, unknown: list[str]) -> int:
    """Says which words a command does not know, and the option nearest to the first of them."""
    from difflib import get_close_matches

    from mashday.text import cleaned

    asked: argparse.ArgumentParser = options.asked
    near = get_close_matches(unknown[0], re.findall(r"--[a-z][a-z-]*", asked.format_help()), n=1)
    would_do = f"{f'Did you mean {near[0]}? ' if near else ''}See: {asked.prog} --help"
    of_run = _commands(asked).get("run")
    if of_run is not None and unknown[0] in of_run._option_string_actions:
        would_do = f"Did you mean: mashday run FILE {unknown[0]}"
    _say(cleaned(f"{' '.join(unknown)} is not known here. {would_do}", 1000))
    return REFUSED


def _lacks_a_value(options: argparse.Namespace) -> bool:
    """True if "--" was given as the value of an option: the parser then hands on an empty list."""
    values = vars(options).values()
    return any(value == [] or (isinstance(value, list) and [] in value) for value in values)


def _with_negative_values(arguments: list[str]) -> list[str]:
    """A value such as -5C after a space, so that it is not taken for an option."""
    if arguments[:1] not in (["reckon"], ["new"]):
        return arguments
    return [f" {one}" if one[:1] == "-" and one[1:2] in tuple("0123456789.,") else one for one in arguments]


def _whatever_the_encoding() -> None:
    """A letter that the terminal or pipe does not know, either way, is marked and ends nothing."""
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _carried_out(options: argparse.Namespace) -> int:
    """Loads the room of the command and runs it."""
    room, function = options.command
    command: Callable[[argparse.Namespace], int] = getattr(
        importlib.import_module(f"mashday.commands.{room}"), function
    )
    return command(options)


def _failed(error: Exception) -> int:
    from mashday.schedule.door import BadSchedule
    from mashday.session.faults import JournalFault
    from mashday.session.folder import NoSession
    from mashday.session.read_back import Unreadable
    from mashday.text import cleaned

    if isinstance(error, BadSchedule):
        for problem in error.problems:
            _say(cleaned(str(problem), 1000))
        return REFUSED
    if isinstance(error, NoSession):
        _say(cleaned(str(error), 1000))
        return REFUSED
    if isinstance(error, Unreadable | JournalFault):
        _say(cleaned(str(error), 1000))
        return NOT_DONE
    if isinstance(error, OSError):
        where = f"{error.filename}: " if error.filename else ""
        _say(cleaned(f"{where}{error.strerror or error}. Name a file that can be written and read.", 1000))
        return NOT_DONE
    return _crashed(error)


def _crashed(error: Exception) -> int:
    """Our own fault: written to a crash note, said in one sentence."""
    import traceback

    from mashday.commands.crash import crash_note

    note = crash_note()
    text = "".join(traceback.format_exception(error))
    try:
        note.parent.mkdir(parents=True, exist_ok=True)
        with note.open("a", encoding="utf-8") as file:
            file.write(f"mashday {__version__}\n{text}\n")
        kept = f"The details are in {note}."
    except OSError:
        kept = text
    _say(f"Something went wrong that is our fault. The day is safe in its file: mashday resume. {kept}")
    return OUR_FAULT


def _say(sentence: str) -> None:
    print(f"mashday: {sentence}", file=sys.stderr)

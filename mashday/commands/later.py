"""The command that adds to a day that is over: the end of the fermentation, a note, its closing lines."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from mashday.commands import output, shared
from mashday.engine import intents
from mashday.faces import closing
from mashday.faces.entries import entry_lines
from mashday.faces.lines import Misunderstood, understood
from mashday.quantities import Units
from mashday.report.end_of_wash import end_of_wash, end_values, end_words
from mashday.session.afterwards import Finished, finished
from mashday.session.clock import SystemClock
from mashday.session.folder import NoSession, named
from mashday.session.library import meant
from mashday.session.past import Unread, kept
from mashday.text import cleaned

READ = {"gravity": "gravity", "volume": "volume", "temperature": "temp"}
"""The flags that hold a reading, each with the word of the line mode it is read as."""
ASKED: dict[str, str] = {
    "gravity": "End gravity, such as {gravity}",
    "volume": "Volume of the wash, such as {volume}",
    "temperature": "Temperature of the wash, such as {temperature}",
    "note": "A note",
    **{str(which): question for which, question in closing.QUESTIONS.items()},
}
"""What is asked in a terminal where no flag tells anything; the examples are put in by units."""
EXAMPLES: dict[Units, dict[str, str]] = {
    "metric": {
        "gravity": "0.998 at 20 C",
        "volume": "19 L",
        "temperature": "21 C",
        "note": "lid left off",
        "wrong": "the mash landed 2 C low",
        "mended": "two litres of boiling water",
        "change": "heat the water 2 C higher",
    },
    "us": {
        "gravity": "0.998 at 68 F",
        "volume": "5 gal",
        "temperature": "70 F",
        "note": "lid left off",
        "wrong": "the mash landed 4 F low",
        "mended": "two quarts of boiling water",
        "change": "heat the water 4 F higher",
    },
}
"""What could stand behind each flag."""


def later(options: argparse.Namespace) -> int:
    """Adds to a day that is over, and tells what its wash has come to."""
    given = {flag: getattr(options, flag) for flag in ASKED if getattr(options, flag) is not None}
    asks = not given and sys.stdin is not None and sys.stdin.isatty()
    if not given and not asks:
        example = EXAMPLES[options.units or "metric"]["gravity"]
        return output.refused(f'Say what to add, as in: mashday later --gravity "{example}"')
    not_written_over = output.refusal(options)
    if not_written_over is not None:
        return output.refused(not_written_over)
    path = meant(shared.folder(options), options.session)
    if options.session is None:
        _refuse_to_pass_over(shared.folder(options), path)
    with_day = finished(path, SystemClock(), rehearsed=options.rehearsed)
    try:
        units = options.units or with_day.state.units or with_day.schedule.units
        wanted = _by_questions(with_day, path, units) if asks else _by_flags(with_day, given, options)
        if wanted is None:
            return output.REFUSED
        entries = with_day.write(wanted) if wanted else ()
        schedule, state = with_day.schedule, with_day.state
        end = end_of_wash(schedule, state)
        done = "Written to the day, but " if entries else ""
        if options.json:
            made = {"session": path.stem, "added": len(entries), **end_values(end)}
            return output.write(options, output.written_json(made), done=done)
        told = [line for entry in entries for line in entry_lines(entry, state, schedule)]
        rows = [_named(with_day, path), *told, *(f"       {row}" for row in end_words(end, units))]
        return output.write(options, "\n".join(rows), done=done)
    finally:
        with_day.close()


def _refuse_to_pass_over(folder: Path, path: Path) -> None:
    """NoSession if a later file cannot be read: the day meant may be that one."""
    for one in kept(folder):
        if one.path == path:
            return
        if isinstance(one, Unread):
            raise NoSession(
                f"The latest day cannot be read; see why with: mashday summary {named(one.path)}. To add to"
                f" the one before it, name it: mashday later {named(path)}"
            )


def _named(day: Finished, path: Path) -> str:
    return f"{cleaned(day.schedule.name, 60)}, {path.name[:10]}"


def _by_flags(
    day: Finished, given: dict[str, str], options: argparse.Namespace
) -> list[intents.Intent] | None:
    """What the flags ask for; None, with a sentence for each that cannot be, if any cannot."""
    read = [
        (flag, _read(day, flag, text) if cleaned(text) else _empty(day, flag, options))
        for flag, text in given.items()
    ]
    unread = [f"--{flag}: {found.why}" for flag, found in read if isinstance(found, Misunderstood)]
    wanted = [(flag, found) for flag, found in read if not isinstance(found, Misunderstood)]
    outcomes = day.weighed([intent for _, intent in wanted])
    against = list(unread)
    for (flag, _), outcome in zip(wanted, outcomes, strict=True):
        if outcome.refused is not None:
            against.append(f"--{flag}: {outcome.refused}")
        elif outcome.doubt is not None and not options.sure:
            against.append(f"--{flag}: {outcome.doubt} If it is right, add --sure.")
    for why in against:
        output.refused(why)
    if against:
        print("mashday: Nothing was written.", file=sys.stderr)
        return None
    return [intent for _, intent in wanted]


def _empty(day: Finished, flag: str, options: argparse.Namespace) -> Misunderstood:
    units = options.units or day.state.units or day.schedule.units
    return Misunderstood(f'It is empty. Write it behind the flag: --{flag} "{EXAMPLES[units][flag]}"')


def _by_questions(day: Finished, path: Path, units: Units) -> list[intents.Intent]:
    """What is answered in the terminal; an empty answer leaves a question out."""
    print(f"{_named(day, path)}. Enter leaves a question out.")
    wanted: list[intents.Intent] = []
    written = {line.which for line in day.state.closing}
    with suppress(EOFError):
        for flag, question in ASKED.items():
            if flag not in written:
                _ask(day, flag, question.format(**EXAMPLES[units]), wanted)
    return wanted


def _ask(day: Finished, flag: str, question: str, wanted: list[intents.Intent]) -> None:
    """Asks until it is answered or left out; the answer joins what is `wanted`."""
    while (text := input(f"{question} > ").strip()).lower() not in closing.LEAVES_OUT:
        found = _read(day, flag, text)
        if isinstance(found, Misunderstood):
            print(found.why)
            continue
        outcome = day.weighed([*wanted, found])[-1]
        if outcome.refused is not None:
            print(cleaned(outcome.refused))
        elif outcome.doubt is None or _is_sure(outcome.doubt):
            wanted.append(found)
            return


def _is_sure(doubt: str) -> bool:
    return input(f"{cleaned(doubt)} Is it right? yes or no > ").strip().lower() in ("y", "yes")


def _read(day: Finished, flag: str, text: str) -> intents.Intent | Misunderstood:
    """What a flag or an answer means, by the words of the line mode."""
    if flag in READ:
        found = understood(f"{READ[flag]} {text}", day.schedule, day.state, day.t())
        if isinstance(found, intents.TakeReading | Misunderstood):
            return found
        return Misunderstood("That is no reading.")
    return _IN_WORDS[flag](text)


_IN_WORDS: dict[str, Callable[[str], intents.Intent]] = {
    "note": intents.WriteNote,
    "wrong": lambda text: intents.WriteClosingLine("wrong", text),
    "mended": lambda text: intents.WriteClosingLine("mended", text),
    "change": lambda text: intents.WriteClosingLine("change", text),
}

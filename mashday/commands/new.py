"""The command that makes a new day: asks, works it out, writes the file, and says what comes of it."""

from __future__ import annotations

import argparse
import os
import re
import shlex
import signal
import sys
from collections.abc import Mapping
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any

from mashday.cautions import LAW, LIFT, in_units
from mashday.commands import day_questions, output
from mashday.commands.day_questions import GRAVITY, UNITS, WASH, asked, told
from mashday.engine.landing import lands_at
from mashday.quantities import Units, show, system_of
from mashday.reckon.answer_texts import yes_or_no
from mashday.reckon.answers import Answers, usual
from mashday.reckon.day_amounts import boiling_celsius
from mashday.reckon.given import Refused
from mashday.reckon.grain_bill import Unreachable
from mashday.reckon.new_day import DoesNotFit, NewDay, new_day
from mashday.reckon.written_day import written
from mashday.report.feasibility import findings
from mashday.report.plan import plan_values
from mashday.text import cleaned, slug

FLAGS = (
    *("name", "grain", "wash", "gravity", "pot", "material", "heater", "wrapped", "by", "sparge"),
    *("cool", "pitch", "yeast", "room", "tap", "altitude", "thermometer"),
)
"""The flags that answer a question, in the order they are read: `by` before `sparge`, which may overrule."""

TOLD_GRAVITY = 0.003
"""A wash this far off what was wished is told. Judgement."""

_DEVICE = re.compile("con|prn|aux|nul|(com|lpt)[0-9]")
"""Names that Windows keeps for devices, whatever ending they have (Win32 file naming rules)."""

_NEW_FILE = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0)


def new(options: argparse.Namespace) -> int:
    """Asks what no flag tells, writes the schedule and says what comes of it."""
    asks = day_questions.is_terminal() and not options.yes and not options.json
    try:
        _refuse_the_place(options)
        day = _worked_out(options, asks)
        _refuse_what_cannot_be(day)
        text = written(day)
        path = _kept(options, day, text)
    except Refused as refused:
        print(f"mashday: {cleaned(str(refused), 1000)}", file=sys.stderr)
        return output.REFUSED
    except EOFError:
        print("\nmashday: The answers ended. Nothing was written.", file=sys.stderr)
        return output.NOT_DONE
    except KeyboardInterrupt:
        print("\nmashday: Stopped. Nothing was written.", file=sys.stderr)
        return 128 + signal.SIGINT
    if options.json:
        print(output.written_json({"file": str(path), "plan": plan_values(day.schedule)}))
    else:
        print(_summed_up(day, path))
    return output.DONE


def _worked_out(options: argparse.Namespace, asks: bool) -> NewDay:
    given = {flag: getattr(options, flag) for flag in FLAGS if getattr(options, flag) is not None}
    units: Units = options.units or _units_of(given)
    draft = replace(usual(units), enzyme=options.enzyme)
    if asks:
        print("A new day. Enter takes what stands in brackets; ? explains; ctrl-c leaves.")
        if options.units is None:
            draft = replace(usual(asked(UNITS, draft).units), enzyme=options.enzyme)
    draft = day_questions.by_flags(given, draft)
    if asks:
        draft = day_questions.answered(draft, given)
    while True:
        try:
            return new_day(draft)
        except DoesNotFit as refused:
            if not asks and not options.fit:
                more = " With --fit the largest that fits is written." if refused.largest else ""
                raise Refused(f"{refused}{more}") from refused
            if refused.largest is not None and (options.fit or _wanted(refused)):
                return new_day(refused.largest)
            if not asks:
                raise
        except Unreachable as refused:
            if not asks:
                raise
            print(told(str(refused)))
        draft = _wished_anew(draft)


def _units_of(given: Mapping[str, Any]) -> Units:
    """US units where every quantity of the flags that has a unit of either system is in them."""
    texts = [text for value in given.values() for text in (value if isinstance(value, list) else [value])]
    pieces = [piece for text in texts if isinstance(text, str) for piece in text.split("=")]
    return "us" if {system_of(piece) for piece in pieces} - {None} == {"us"} else "metric"


def _wanted(refused: DoesNotFit) -> bool:
    """Whether the largest that fits will do."""
    print(told(str(refused)))
    while True:
        text = input("Write the largest that fits? [yes] > ").strip()
        try:
            return yes_or_no(text or "yes")
        except Refused as unclear:
            print(told(str(unclear)))


def _wished_anew(draft: Answers) -> Answers:
    """The draft with another wish for the wash, or for the gravity where the grain is weighed."""
    if draft.weighed:
        return asked(GRAVITY, replace(draft, wash_litres=None, gravity=None))
    draft = asked(WASH, replace(draft, wash_litres=None, gravity=None))
    return asked(GRAVITY, draft) if GRAVITY.applies(draft) else draft


def _refuse_what_cannot_be(day: NewDay) -> None:
    """Refused in the words of what was asked, not of a file that is not there yet."""
    strike, units = day.outlook.strike, day.answers.units
    boils = boiling_celsius(day.answers)
    if strike is not None and not day.answers.raw and strike.celsius >= boils:
        needed, there = (show(one, "temperature", units) for one in (strike.celsius, boils))
        raise Refused(
            f"It cannot be done: the strike water would need {needed}, and water boils at {there} here."
            " What would do: a larger wash, a smaller pot, or a warmer room."
        )
    errors = [problem for problem in findings(day.schedule) if problem.severity == "error"]
    if errors:
        raise Refused(f"It cannot be done: {'; '.join(f'{one.found}; {one.remedy}' for one in errors)}.")


def _refuse_the_place(options: argparse.Namespace) -> None:
    """Refused where the file named is not to be written, before anything is asked."""
    if options.output is None or not os.path.lexists(options.output):
        return
    path = Path(options.output)
    if not path.exists():
        raise Refused(f"{path} is a link that leads nowhere: name another file, or take the link away.")
    if path.is_file() and output.is_day(path):
        raise Refused(output.told_day(path))
    if not options.force:
        raise Refused(_is_there(path))
    if not path.is_file():
        raise Refused(f"{path} is no file: name another.")


def _is_there(path: Path) -> str:
    return f"{path} is there already: name another file, or overwrite with --force."


def _kept(options: argparse.Namespace, day: NewDay, text: str) -> Path:
    """Writes the text to the file named, or to a fresh one named after the day; returns its path."""
    if options.output is not None:
        path = Path(options.output)
        _refuse_the_place(options)
        if options.force and path.exists():
            output.put(path, text.encode("utf-8"))
        elif not _written_anew(path, text):
            raise Refused(_is_there(path))
        return path
    stem = _stem(day.answers.name)
    for number in count(1):
        path = Path(f"{stem}.toml" if number == 1 else f"{stem}-{number}.toml")
        if _written_anew(path, text):
            return path
    raise AssertionError("there is always another number")


def _stem(name: str) -> str:
    """The file's name without its ending, never one that stands for a device somewhere."""
    stem = slug(name)
    return f"{stem}-day" if _DEVICE.fullmatch(stem) else stem


def _written_anew(path: Path, text: str) -> bool:
    """Writes a file that was not there, whole or not at all; False where one was."""
    try:
        descriptor = os.open(path, _NEW_FILE, 0o644)
    except FileExistsError:
        return False
    try:
        with os.fdopen(descriptor, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        path.unlink(missing_ok=True)
        raise
    return True


def _summed_up(day: NewDay, path: Path) -> str:
    units, outlook = day.answers.units, day.outlook
    strike, mash, expected = outlook.strike, outlook.mash, outlook.expected
    assert strike is not None and mash is not None and expected is not None
    what = (
        "The cooked grain"
        if day.answers.raw
        else f"{show(day.amounts.mash_litres, 'volume', units)} of water"
    )
    heated = strike.celsius if day.amounts.malt_celsius is None else day.amounts.malt_celsius
    hours, minutes = divmod(round(outlook.ends_minute), 60)
    name = cleaned(shlex.quote(str(path)), 1000)
    sparge = day.amounts.sparge_litres
    rows = [
        f"Written: {cleaned(str(path), 1000)}",
        f"  strike  {what} at {show(heated, 'temperature', units)}, with"
        f" {show(outlook.grist_kg, 'mass', units)} of grain in all lands at"
        f" {show(lands_at(strike, heated), 'temperature', units)}",
        f"  fit     {show(mash.in_pot_litres, 'volume', units)} in the pot,"
        f" {show(mash.headroom_litres, 'volume', units)} to the rim"
        + (f"; sparge {show(sparge, 'volume', units)}" if sparge else ""),
        f"  wash    about {show(expected.wash_litres, 'volume', units)} at {expected.wash_gravity:.3f}, about"
        f" {expected.abv_percent:.1f} % vol when it has fermented",
        f"  time    about {hours} h {minutes:02d} min",
    ]
    rows += [told(f"Mind: {problem.found}; {problem.remedy}.") for problem in findings(day.schedule)]
    if abs(expected.wash_gravity - day.amounts.gravity) > TOLD_GRAVITY:
        missed = f"{day.amounts.gravity:.3f} is not met"
        rows.append(told(f"Mind: {missed}: so little is neither weighed nor measured nearer."))
    if day.heavy_kg is not None:
        weight = show(day.heavy_kg, "mass", units, 0)
        rows.append(told(f"Pot and mash weigh about {weight}. {in_units(LIFT, units)}"))
    rows += [told(LAW), "Next:"]
    rows += [f"  mashday {command} {name}" for command in ("plan", "rehearse", "run")]
    return "\n".join(rows)

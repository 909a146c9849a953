"""What is set up beside the pot for wet hands: asked for by options, by the environment or by the schedule.

An option goes before its variable, which is its name in capitals behind MASHDAY_; "off" leaves out what the
variable or the schedule names.
"""

from __future__ import annotations

import argparse
import os
import shlex
import shutil
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Literal

from mashday.channels.door import Door
from mashday.channels.listener import Listener
from mashday.channels.on_call import OnCall
from mashday.channels.own_terminal import IS_OURS, names_own_terminal
from mashday.channels.player import Player, notification
from mashday.channels.probe import SOURCES, Probe, ProbeSettings, probe_of
from mashday.channels.speaker import FILE, Speaker
from mashday.engine.decision import units_of
from mashday.faces.apparatus import Apparatus
from mashday.faces.herald import Herald
from mashday.faces.listening import Listening
from mashday.faces.probing import Probing
from mashday.faces.simulated_probe import SimulatedProbe
from mashday.quantities import Unreadable
from mashday.schedule.model import Schedule
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session
from mashday.text import cleaned, problem, quoted

AUTO: Literal["auto"] = "auto"
OFF = "off"
LONGEST_COMMAND = 500
LONGEST_SHOWN = 4000
"""More than the longest command of a schedule, quotation marks and all: what is agreed to is seen whole."""
OTHER_MACHINE = ("\\\\", "\\??\\")
"""How a path begins that Windows looks for on a host of that name, with a person's log-in. Published: Naming
Files, Paths, and Namespaces (Windows documentation), UNC paths; from memory: the form with question marks."""
YES = ("1", "yes", "true", "on")
NO = ("0", "no", "false", "off")

Command = Sequence[str]


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be set up, sound in form; None or False for what is not.

    `notices` is what the person is to be told of it.
    """

    sound: Command | Literal["auto"] | None = None
    say: Command | str | None = None
    on_call: Command | None = None
    door: Door | None = None
    listener: Command | None = None
    pedal: str | None = None
    probe: ProbeSettings | None = None
    hands_free: bool = False
    notify: bool = False
    notices: tuple[str, ...] = ()


def asked(options: argparse.Namespace, schedule: Schedule, *, rehearsed: bool) -> Asked:
    """What is to be set up for a day of this schedule; nothing of it has begun.

    ValueError, in a sentence, for what cannot be meant. May ask on the terminal whether the schedule's own
    probe may be read.
    """
    sounds_by_itself = not options.plain and not rehearsed
    found = Asked(
        sound=_sound(options, by_itself=sounds_by_itself),
        say=_say(options),
        on_call=_command(*_said(options, "on_call")),
        door=_door(*_said(options, "listen_to")),
        listener=_command(*_said(options, "listener")),
        pedal=pedal(options),
        hands_free=_flag(options, "hands_free", by_itself=schedule.hands_free),
        notify=_flag(options, "notify", by_itself=False),
    )
    kept = isinstance(found.say, str) and found.say.startswith(FILE)
    if found.listener is not None and (found.say is None or (kept and not rehearsed)):
        raise ValueError(
            "--listener answers a voice: what it heard is said back before it counts. Add --say auto"
            " (a file is no voice)."
        )
    probe, notices = probe_settings(options, schedule, rehearsed=rehearsed)
    if found.hands_free and probe is None and not rehearsed:
        notices = (*notices, "Hands free, and no probe is read: every reading is entered by you.")
    if found.on_call is not None and shutil.which(found.on_call[0]) is None:
        notices = (*notices, f"The command for calls, {quoted(found.on_call[0])}, is not found here.")
    if found.door is not None and found.door.stays is not None:
        notices = (*notices, f"{found.door.stays}.")
    if found.pedal is not None and options.plain:
        notices = (*notices, "A pedal is for the full screen; in lines an empty one acknowledges a call.")
    return replace(found, probe=probe, notices=notices)


def pedal(options: argparse.Namespace) -> str | None:
    """The key of the pedal as it was named, None without one; ValueError, in a sentence, for hostile text."""
    return _word(*_said(options, "pedal"))


def apparatus(wanted: Asked, session: Session, rehearsal: Rehearsal | None) -> Apparatus:
    """Sets up what was asked for, and lets it begin. Whoever calls closes it."""
    herald = _herald(wanted)
    listening = None
    if wanted.listener is not None and herald is not None:
        listening = Listening(
            Listener(wanted.listener), session, herald, time.monotonic, silent=rehearsal is not None
        )
    made = Apparatus(herald, wanted.door, _probing(wanted, session, rehearsal), listening)
    if made.listening is not None:
        made.listening.start()
    if made.door is not None:
        made.door.start()
    if made.probing is not None:
        made.probing.start()
    return made


def probe_settings(
    options: argparse.Namespace, schedule: Schedule, *, rehearsed: bool
) -> tuple[ProbeSettings | None, tuple[str, ...]]:
    """Where the thermometer is read, None for nowhere, and what to tell of that.

    A schedule may be a stranger's: what it would run, connect to or open is asked for first. Where nobody can
    be asked it is left alone, and so is what no schedule may name. In a rehearsal the simulated pot's own is
    read, and nobody is asked.
    """
    of_schedule = None
    if schedule.probe is not None:
        names = [field.name for field in fields(ProbeSettings)]
        of_schedule = ProbeSettings(**{name: getattr(schedule.probe, name) for name in names})
    where, text = _said(options, "probe")
    if text == OFF:
        return None, ()
    if text is not None:
        return _named(where, text, of_schedule), ()
    if of_schedule is None or rehearsed:
        return of_schedule, ()
    return _agreed_to(of_schedule)


def _named(where: str, text: str, of_schedule: ProbeSettings | None) -> ProbeSettings:
    """The probe a person names; read as the schedule says where that names the same."""
    try:
        named = probe_of(text)
    except Unreadable as fault:
        raise ValueError(f"{where}: {fault}.") from fault
    path = _path(named)
    if names_own_terminal(path):
        raise ValueError(f"{where}: {quoted(path)} {IS_OURS}.")
    is_the_same = of_schedule is not None and _source(named) == _source(of_schedule)
    return of_schedule if of_schedule is not None and is_the_same else named


def _agreed_to(settings: ProbeSettings) -> tuple[ProbeSettings | None, tuple[str, ...]]:
    """The probe of a schedule, if the person agrees."""
    path = _path(settings)
    if settings.command:
        does, verb, words = "by running", "Run it?", shlex.join(settings.command)
    elif settings.mqtt:
        does, verb, words = "over the network, from", "Connect to it?", f"mqtt:{settings.mqtt}"
    else:
        kind = next(name for name in SOURCES if getattr(settings, name))
        does, verb, words = "from", "Read it?", f"{kind}:{getattr(settings, kind)}"
    shown = cleaned(words, LONGEST_SHOWN)
    is_elsewhere = path.replace("/", "\\").startswith(OTHER_MACHINE)
    if not is_elsewhere and names_own_terminal(path):
        return None, (f"The thermometer of this schedule is not read: {quoted(path)} {IS_OURS}.",)
    if not is_elsewhere and _can_ask():
        sys.stdout.write(f"This schedule reads its thermometer {does}: {shown}\n{verb} y/N ")
        sys.stdout.flush()
        if sys.stdin.readline().strip().lower() in ("y", "yes"):
            return settings, ()
        return None, ("The thermometer of this schedule is not read: you said no.",)
    why = "it may be on another machine" if is_elsewhere else "nobody could be asked"
    notice = (
        f"The thermometer of this schedule is not read: {why}. It is read {does}: {shown}"
        f" - to allow that: --probe {cleaned(shlex.quote(words), LONGEST_SHOWN)}"
    )
    return None, (notice,)


def _path(settings: ProbeSettings) -> str:
    """The file or device that would be opened, "" for none."""
    return settings.file or settings.serial or ""


def _can_ask() -> bool:
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))


def _source(settings: ProbeSettings) -> tuple[object, ...]:
    return tuple(getattr(settings, name) for name in SOURCES)


def _herald(wanted: Asked) -> Herald | None:
    """Who makes the day heard; None where nothing is to be heard."""
    player = Player(wanted.sound) if wanted.sound is not None else None
    speaker = Speaker(wanted.say) if wanted.say is not None else None
    on_call = OnCall(wanted.on_call) if wanted.on_call is not None else None
    if player is None and speaker is None and on_call is None and not wanted.notify:
        return None
    return Herald(player, speaker, on_call, _notify if wanted.notify else None)


def _notify(text: str) -> None:
    """To the terminal, if there is one."""
    if sys.stdout is not None and sys.stdout.isatty():
        sys.stdout.write(notification(text))
        sys.stdout.flush()


def _probing(wanted: Asked, session: Session, rehearsal: Rehearsal | None) -> Probing | None:
    """The live thermometer; in a rehearsal that of the simulated pot, for a day that would have one."""
    if rehearsal is not None:
        if wanted.probe is None and not wanted.hands_free:
            return None
        return Probing(SimulatedProbe(rehearsal), session, hands_free=wanted.hands_free)
    if wanted.probe is None:
        return None
    units = units_of(session.schedule, session.state)
    probe = Probe(wanted.probe, session.clock.elapsed, units=units)
    return Probing(probe, session, hands_free=wanted.hands_free)


def _door(where: str, text: str | None) -> Door | None:
    """The door lines come in by."""
    if text is None or text == OFF:
        return None
    try:
        return Door(text)
    except Unreadable as fault:
        raise ValueError(f"{where}: {fault}.") from fault


def _said(options: argparse.Namespace, name: str) -> tuple[str, str | None]:
    """Where something is asked for, to name it in a refusal, and what; None where it is not."""
    given: str | None = getattr(options, name)
    if given is not None:
        return f"--{name.replace('_', '-')}", given.strip()
    variable = f"MASHDAY_{name.upper()}"
    return variable, os.environ.get(variable, "").strip() or None


def _flag(options: argparse.Namespace, name: str, *, by_itself: bool) -> bool:
    """Whether a switch is on; a variable that is not set or empty leaves it as it is `by_itself`."""
    if getattr(options, name):
        return True
    where = f"MASHDAY_{name.upper()}"
    said = os.environ.get(where, "").strip().lower()
    if not said:
        return by_itself
    if said not in (*YES, *NO):
        raise ValueError(f"{where}: {quoted(said)} is neither yes nor no; set it to 1 or to 0.")
    return said in YES


def _sound(options: argparse.Namespace, *, by_itself: bool) -> Command | Literal["auto"] | None:
    where, text = _said(options, "sound")
    if text == AUTO or (text is None and by_itself):
        return AUTO
    return _command(where, text)


def _say(options: argparse.Namespace) -> Command | str | None:
    where, text = _said(options, "say")
    if text == AUTO:
        return AUTO
    if text is not None and text.startswith(FILE):
        if not text.removeprefix(FILE).strip():
            raise ValueError(
                f'{where}: no path stands after {FILE}; write it behind, such as "file:said.txt".'
            )
        return text
    return _command(where, text)


def _word(where: str, text: str | None) -> str | None:
    """What is named, in one piece; None for nothing."""
    if text is None or text == OFF:
        return None
    reason = problem(text, LONGEST_COMMAND)
    if reason is not None:
        raise ValueError(f"{where} {reason}; name what is meant, or off.")
    return text


def _command(where: str, text: str | None) -> Command | None:
    """The words of a command; no shell reads it."""
    word = _word(where, text)
    if word is None:
        return None
    try:
        words = shlex.split(word, posix=sys.platform != "win32")
    except ValueError as fault:
        raise ValueError(f"{where}: a quotation mark of {quoted(word)} has no partner; close it.") from fault
    if not words or not words[0]:
        raise ValueError(f"{where} names no command; name one, or off.")
    return tuple(word.strip('"') if sys.platform == "win32" else word for word in words)

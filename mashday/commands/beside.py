"""The commands beside the pot: run, resume and the start screen."""

from __future__ import annotations

import argparse
import signal
import sys
from contextlib import suppress
from io import StringIO
from types import FrameType

from mashday.commands import hands_free, output, shared
from mashday.commands.crash import crash_note
from mashday.commands.own_keys import own_keys
from mashday.commands.steps import no_such_step, step_meant
from mashday.engine.intents import ChooseUnits, Start
from mashday.faces import telling
from mashday.faces.apparatus import Apparatus
from mashday.report.feasibility import told_errors
from mashday.session.clock import Clock, FastClock, SystemClock, VirtualClock
from mashday.session.folder import in_folder, named
from mashday.session.journal import Journal
from mashday.session.known import known_pot
from mashday.session.library import meant
from mashday.session.machine import look as look_at_machine
from mashday.session.machine import warnings
from mashday.session.past import to_change
from mashday.session.read_back import read_back
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session, begin
from mashday.session.watched import taken_up
from mashday.text import cleaned, shell_word


class Stopped(BaseException):
    """A signal that ends the program; the day stays open in its file."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


def run(options: argparse.Namespace) -> int:
    """A new day from a schedule."""
    if (code := _refused_terminal(options)) is not None:
        return code
    schedule, written = shared.found(options.file)
    from_step = None
    if options.from_step is not None:
        if options.rehearse:
            return output.refused(
                "--from takes up a mash that stands; a rehearsal begins at its first step. Leave one out."
            )
        from_step = step_meant(schedule, options.from_step)
        if from_step is None:
            return output.refused(no_such_step(schedule, options.from_step))
    if from_step is None and not options.anyway:
        amiss = told_errors(options.file, schedule)
        print(amiss, end="", file=sys.stderr)
        if amiss and not options.rehearse:
            begin_it = f"mashday run {shell_word(options.file)} --anyway{in_folder(shared.folder(options))}"
            return output.refused(f"Mend the file, or begin it all the same with: {begin_it}")
    try:
        wanted = hands_free.asked(options, schedule, rehearsed=options.rehearse)
    except ValueError as refused:
        return output.refused(str(refused))
    clock: Clock = SystemClock()
    if options.rehearse:
        clock = VirtualClock() if options.plain else FastClock(options.rate)
    folder = shared.folder(options)
    session = begin(
        written,
        clock,
        folder=folder,
        known=None if options.rehearse else known_pot(folder, schedule.pot.name),
        rehearsed=options.rehearse,
        seed=options.seed,
        rate=options.rate if options.rehearse else 1.0,
    )
    if from_step is not None:
        session.send(Start(from_step))
    return _beside_the_pot(session, options, wanted)


def resume(options: argparse.Namespace) -> int:
    """An unfinished day, taken up where it was, or to look at where that cannot be."""
    if (code := _refused_terminal(options)) is not None:
        return code
    path = meant(shared.folder(options), options.session, unfinished=True)
    recovered = Journal.read(path)
    day = read_back(recovered, path)
    wanted = hands_free.Asked()
    if not (recovered.held_by or recovered.damage or day.trouble):
        try:
            wanted = hands_free.asked(
                options, day.schedule, rehearsed=bool(recovered.header.get("rehearsed"))
            )
        except ValueError as refused:
            return output.refused(str(refused))
    clock: Clock = SystemClock()
    if recovered.header.get("rehearsed"):
        last = day.state.log[-1].at if day.state.log else None
        rate = float(recovered.header.get("rate", 60.0))
        clock = VirtualClock(last) if options.plain else FastClock(rate, start=last)
    return _beside_the_pot(taken_up(path, clock), options, wanted)


def start(options: argparse.Namespace) -> int:
    """The start screen: an unfinished day, the schedules here, the samples."""
    options.plain = False
    if (code := _refused_terminal(options, "mashday run FILE --plain")) is not None:
        return code
    from mashday.faces.tui.start import choose  # noqa: PLC0415 - the toolkit loads only for the screen

    choice = choose(shared.folder(options))
    if choice is None:
        return output.DONE
    options.seed, options.rate, options.from_step, options.anyway = 1, 60.0, None, True
    if choice.resumes:
        options.session = choice.what
        return resume(options)
    options.file, options.rehearse = choice.what, choice.rehearse
    return run(options)


def _refused_terminal(options: argparse.Namespace, plain: str = "--plain") -> int | None:
    """The exit code, after one sentence, where the full screen cannot be shown; None if it can.

    `plain` is what has plain lines instead.
    """
    if options.plain:
        return None
    from mashday.faces.tui.keys import remapped, with_pedal  # noqa: PLC0415 - only for the screen
    from mashday.faces.tui.terminal import usable_terminal  # noqa: PLC0415 - only for the screen

    why = usable_terminal(plain)
    if why is not None:
        return output.refused(why)
    try:
        with_pedal(remapped(own_keys()), hands_free.pedal(options))
    except ValueError as refused:
        return output.refused(str(refused))
    return None


def _beside_the_pot(session: Session, options: argparse.Namespace, wanted: hands_free.Asked) -> int:
    """Shows the day until it ends or is left, then prints its summary."""
    if session.view_only:
        wanted = hands_free.Asked()
    rehearsal = Rehearsal(session) if session.rehearsed and not session.view_only else None
    if options.units is not None and options.units != (session.state.units or session.schedule.units):
        session.send(ChooseUnits(options.units))
    apparatus = hands_free.apparatus(wanted, session, rehearsal)
    notices = (*wanted.notices, *_to_change(session, options), *_notices(session))
    try:
        if options.plain:
            code = _plainly(session, rehearsal, notices, apparatus)
        else:
            code = _on_screen(session, rehearsal, notices, apparatus, wanted.pedal)
        if code >= 128:
            return code
        if session.view_only:
            print(f"mashday: {cleaned(session.view_only)}", file=sys.stderr)
            return output.NOT_DONE
        print(
            shared.summary_text(
                session.schedule, session.state, rehearsed=session.rehearsed, units=options.units
            )
        )
        if session.not_saved is not None:
            return output.NOT_DONE
        if not session.state.is_over and session.path is not None:
            known = session.path.parent.resolve() == shared.folder(options).resolve()
            name = named(session.path) if known else shell_word(session.path)
            print(f"The day is open. Go on with: mashday resume {name}")
    except Stopped as stopped:
        code = 128 + stopped.number
    finally:
        _listen_to_no_signal()
        _kept_elsewhere(session)
        apparatus.close()
        session.close()
    return code


def _kept_elsewhere(session: Session) -> None:
    """A day that is left while it is not saved is kept where it can be, and that is said."""
    if session.not_saved is None:
        return
    why = cleaned(session.not_saved)
    (said,) = telling.save(session, "")
    where = ""
    if session.not_saved is None and session.path is not None:
        does = "See it with: mashday summary" if session.state.is_over else "Take it up with: mashday resume"
        where = f" {does} {shell_word(session.path)}"
    with suppress(OSError):
        print(f"mashday: NOT SAVED where it was to be. {why} {said}{where}", file=sys.stderr)


def _listen_to_no_signal() -> None:
    """What ends the program has been heard: a second signal must not end the keeping of the day."""
    for name in ("SIGTERM", "SIGHUP", "SIGINT"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)


def _plainly(
    session: Session, rehearsal: Rehearsal | None, notices: tuple[str, ...], apparatus: Apparatus
) -> int:
    from mashday.faces.plain import run as run_plain  # noqa: PLC0415 - one face is loaded, not both

    def stop(number: int, frame: FrameType | None) -> None:
        _listen_to_no_signal()
        raise Stopped(number)

    for name in ("SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), stop)
    # A stream closed by whoever started the program is None (documentation of sys): nothing to hear or say.
    return run_plain(
        session,
        stdin=sys.stdin or StringIO(),
        stdout=sys.stdout or StringIO(),
        rehearsal=rehearsal,
        notices=notices,
        apparatus=apparatus,
    )


def _on_screen(
    session: Session,
    rehearsal: Rehearsal | None,
    notices: tuple[str, ...],
    apparatus: Apparatus,
    pedal: str | None,
) -> int:
    from mashday.faces.tui.app import run_board  # noqa: PLC0415 - one face is loaded, not both

    return run_board(
        session,
        rehearsal=rehearsal,
        crash_note=crash_note(),
        keys=own_keys(),
        pedal=pedal,
        notices=notices,
        apparatus=apparatus,
    )


def _notices(session: Session) -> tuple[str, ...]:
    """What the machine itself may spoil of a day that is still to begin."""
    begun = session.state.phase != "idle" and session.state.step > 1
    return () if session.rehearsed or session.view_only or begun else warnings(look_at_machine())


def _to_change(session: Session, options: argparse.Namespace) -> tuple[str, ...]:
    """What an earlier day wants changed, told to a real day that is still to begin."""
    if session.rehearsed or session.view_only or session.state.phase != "idle":
        return ()
    found = to_change(shared.folder(options), session.schedule)
    return () if found is None else (str(found),)

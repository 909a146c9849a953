"""What both faces answer themselves: time left, why, steps, log, help, save, and the view of a session."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from mashday.engine import asks
from mashday.faces import glossary, lines, reasons, tell
from mashday.faces.carried import carried
from mashday.faces.entries import reading_said
from mashday.faces.herald import Herald
from mashday.faces.moment import Moment
from mashday.faces.view import GOES_ON, View
from mashday.faces.vocabulary import WORDS
from mashday.quantities import show
from mashday.report import summary as report
from mashday.report.plan import plan_words
from mashday.report.words import summary_words
from mashday.session.faults import ELSEWHERE, JournalFault
from mashday.session.folder import may_be_emptied
from mashday.session.frames import typed_in
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Outcome, Session
from mashday.session.sheet import NoSheet, write_sheet
from mashday.text import cleaned, nearest, quoted, slug

AFTER_A_LOOK = " To have its probe, its voice and its signals, leave it and resume it."
EMPTIED = " That folder may be emptied when the machine is started again: copy the file to a safe place."


def view_of(
    session: Session,
    rehearsal: Rehearsal | None = None,
    *,
    doubt: str = "",
    before: View | None = None,
) -> View:
    """The view of this session now; by one of a few seconds `before`, if nothing has happened since."""
    state, t = session.state, session.t()
    also = {
        "doubt": doubt,
        "not_saved": session.not_saved or "",
        "view_only": session.view_only,
        "thermometer": thermometer(session, rehearsal),
    }
    if before is None:
        shown = tell.view(session.schedule, state, t, session.at, **also)
    else:
        shown = tell.later(before, session.schedule, state, t, session.at, **also)
    return replace(shown, can_go_on=session.can_go_on)


def torn_said(session: Session) -> str:
    """What stood unfinished at the end of the file, as it was typed; "" where nothing did."""
    if session.torn is None:
        return ""
    typed = typed_in(session.torn)
    if typed is None:
        return "Something unfinished at the end of the file was set aside; nothing that was told is lost."
    return f"The last entry was not finished: {cleaned(typed, 200)}. Enter it again."


def why_a_look(session: Session) -> str:
    """Why it is only a look, and how to go on with the day, where that can be; "" for a day that is ours."""
    return f"Say save {GOES_ON} {session.view_only}" if session.can_go_on else session.view_only


def carried_through(session: Session, outcome: Outcome) -> str:
    """What came of an intent changes of the rest of the day, in one line; "" where nothing."""
    if outcome.before is None:
        return ""
    now = Moment(session.schedule, session.state, session.t(), session.at)
    return carried(now, outcome.before, outcome.entries)


def thermometer(session: Session, rehearsal: Rehearsal | None) -> str:
    """What the simulated thermometer shows, where a temperature may be asked; "" without one."""
    if rehearsal is None or session.state.phase != "running":
        return ""
    units = session.state.units or session.schedule.units
    return show(rehearsal.thermometer(), "temperature", units)


def hints(session: Session, rehearsal: Rehearsal | None) -> tuple[str, ...]:
    """What the simulated instruments show for the question that stands; empty on a real day."""
    if rehearsal is None:
        return ()
    ask = asks.question(session.schedule, session.state, session.t())
    if ask is None:
        return ()
    rehearsal.day.follow(session.t())
    if ask.quantity == "temperature":
        return (f"The simulated thermometer shows {thermometer(session, rehearsal)}.",)
    units = session.state.units or session.schedule.units
    if ask.quantity == "gravity":
        shown, sample = rehearsal.day.gravity_reading(20.0), show(20.0, "temperature", units)
        return (f"The simulated hydrometer shows {shown:.3f} at {sample}.",)
    if ask.quantity == "volume":
        return (f"The simulated measure shows {show(rehearsal.day.litres_reading(), 'volume', units)}.",)
    if ask.quantity == "starch":
        colour = "stays yellow: pass" if rehearsal.day.starch_gone() else "turns blue-black: fail"
        return (f"The simulated drop of iodine {colour}.",)
    return ()


def answer(session: Session, command: lines.Command, rehearsal: Rehearsal | None) -> tuple[str, ...]:
    """The lines that answer a word the faces answer themselves (all but heard, wait and quit)."""
    shown = view_of(session, rehearsal)
    if command.word == "again":
        return _again(shown)
    if command.word == "left":
        return _left(shown)
    if command.word == "why":
        return why(session, shown, command.argument)
    if command.word == "trouble":
        return shown.if_it_goes_wrong or ("Nothing is known to go wrong in this step.",)
    if command.word == "explain":
        return explained(shown, command.argument)
    if command.word == "sheet":
        return sheet(session, command.argument)
    if command.word == "steps":
        heading = f"   {'step':<24} {'':<8} plan  now   {'lasts':>9} {'target':>9}"
        return (
            heading,
            *(
                f"{step.place} {step.title:<24} {step.mark:<8} {step.planned} {step.actual} {step.minutes:>9}"
                f" {step.target:>9}"
                for step in shown.steps
            ),
        )
    if command.word == "log":
        return log(session)
    if command.word == "help":
        return tuple(f"{word.written:<24} {word.does}" for word in WORDS.values())
    return save(session, command.argument)


def heard(herald: Herald | None, answered: str) -> str:
    """What comes of the word heard: whether the signal that was played before the day was heard."""
    if herald is None:
        return "Nothing is played or said: --sound auto and --say auto switch that on."
    if answered.lower() not in ("yes", "no"):
        return "Was it heard? Say: heard yes, or: heard no"
    return herald.answer_heard(answered.lower() == "yes")


def _again(shown: View) -> tuple[str, ...]:
    found = [f"{shown.instruction}.", *shown.details]
    found += [f"{way.number}: {'; '.join((way.headline, *way.details))}" for way in shown.ways]
    if shown.question:
        found.append(f"Asked, {shown.question_due}: {shown.question} ({shown.question_unit}).")
    found += [f"Open: {item.number}  {item.text}" for item in shown.checklist if not item.ticked]
    return tuple(found)


def _left(shown: View) -> tuple[str, ...]:
    found = []
    if shown.countdown:
        found.append(f"{shown.countdown} {shown.countdown_label}.")
    if shown.question:
        found.append(f"Next: {shown.question}, {shown.question_due}.")
    return tuple(found) or ("Nothing counts down just now.",)


def log(session: Session) -> tuple[str, ...]:
    """The readings so far, with the numbers that correct and void go by."""
    now = Moment(session.schedule, session.state, session.t(), session.at)
    found = []
    for reading in session.state.readings:
        marks = " (struck out)" if reading.voided else " (assumed)" if reading.fact.assumed else ""
        if len(reading.typed) > 1:
            marks += f" (first entered {cleaned(reading.typed[0], 40)})"
        found.append(f"{reading.number:4d}  {now.clock(reading.t)}  {reading_said(now, reading.fact)}{marks}")
    return tuple(found) or ("No reading yet.",)


def why(session: Session, shown: View, number: str) -> tuple[str, ...]:
    """The working behind the number on show; with the number of a way, of that way."""
    if not number:
        return shown.why
    now = Moment(session.schedule, session.state, session.t(), session.at)
    found = reasons.why_way(now, number)
    return tuple(cleaned(line) for line in found) or (
        f"There is no way {quoted(number)} to explain; 'why' alone gives the working behind what is on show.",
    )


def explained(shown: View, word: str) -> tuple[str, ...]:
    """A word of the trade in plain language; without a word those of the step under way."""
    if not word:
        return shown.terms or glossary.lines(glossary.everything())
    found = glossary.meaning(word)
    if found is not None:
        return glossary.lines((found,))
    near = nearest(word, [entry.word for entry in glossary.everything()])
    meant = f" Is {near!r} meant?" if near else ""
    return (f"{quoted(word)} is not in the list of words.{meant} 'explain' alone gives those of this step.",)


def sheet(session: Session, folder: str) -> tuple[str, ...]:
    """Writes the plan of the day to a file and says where, or why not."""
    schedule, now = session.schedule, session.at(session.t())
    units = session.state.units or schedule.units
    plan = plan_words(schedule, units, now.time(), None, session.state.known)
    try:
        path = write_sheet(Path(folder or ".").expanduser(), slug(schedule.name), now.date(), plan)
    except (NoSheet, RuntimeError) as fault:
        return (cleaned(str(fault)),)
    return (cleaned(f"The day on paper: {path.resolve()}. Print it, or copy it to another screen."),)


def summary(session: Session) -> tuple[str, ...]:
    """The summary of the day so far, line by line."""
    state, schedule = session.state, session.schedule
    made = report.summary(schedule, state, at=session.at, rehearsed=session.rehearsed)
    return tuple(summary_words(made, state.units or schedule.units).splitlines())


def save(session: Session, folder: str) -> tuple[str, ...]:
    """Writes the whole day elsewhere and says where, or why not.

    Without a folder, where it cannot be kept: beside a damaged file, else in the first spare folder that can.
    """
    if session.view_only and not session.can_go_on:
        return (cleaned(f"This is only a look. {session.view_only}"),)
    if not folder and not session.is_in_need:
        return ("In which folder? Say it like: save /media/stick",)
    why, more = "", AFTER_A_LOOK if session.view_only else ""
    for place in (Path(folder),) if folder else session.spare_folders():
        try:
            path = session.save_whole(place.expanduser())
        except (JournalFault, ValueError, RuntimeError) as fault:
            why = str(fault).removesuffix(ELSEWHERE)
            why = why if session.view_only else f"NOT SAVED there either. {why}"
            continue
        passing = EMPTIED if not folder and may_be_emptied(place) else ""
        return (cleaned(f"Saved whole in {path}; the day goes on there.{passing}{more}"),)
    return (cleaned(why),)

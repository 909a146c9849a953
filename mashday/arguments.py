"""The arguments: every command with its options, and examples of its use. Loads nothing heavy."""

from __future__ import annotations

import argparse
from typing import Any, NoReturn

from mashday import __version__
from mashday.reckon.table import SUMS, Sum

EPILOG = """\
A day begins with a schedule: a file of your own, or one of the samples by its name.
  mashday rehearse lock-seven-barley      a whole simulated day, no pot needed
  mashday plan lock-seven-barley          the same day on paper
  mashday run my-day.toml                 the real day, beside the pot
"""

SHELLS = ("bash", "zsh", "fish", "powershell")
COLUMNS = 80
"""Where what an example does would go beyond these, it stands below it."""
EXAMPLES = {
    "run": (
        ("run my-day.toml", "the real day, full screen"),
        ("run my-day.toml --rehearse", "the same beside a simulated pot, sixty times as fast"),
        ("run my-day.toml --plain", "as plain lines: for a screen reader, a pipe, a script"),
        ("run my-day.toml --from rest", "a mash that stands already"),
        ("run my-day.toml --say auto --pedal enter", "told aloud, answered by a pedal"),
    ),
    "resume": (("resume", "the latest open day"), ("resume 2026-10-03", "the one of that date")),
    "plan": (
        ("plan my-day.toml --start 10:00", "with clock times"),
        ("plan my-day.toml --ready 16:30", "counted back from when it is to be over"),
        ("plan my-day.toml --html -o my-day.html", "a page to print, with room to write on"),
    ),
    "check": (("check my-day.toml", "one file"), ("check *.toml", "all of this folder")),
    "rehearse": (
        ("rehearse my-day.toml", "one day, told as it goes"),
        ("rehearse my-day.toml --days 300", "how far off the mash is over many days"),
    ),
    "summary": (
        ("summary", "the latest day"),
        ("summary 2026-10-03 --html -o day.html", "as a page with its curve"),
        ("summary --csv -o readings.csv", "its readings for a spreadsheet"),
    ),
    "later": (
        ('later --gravity "0.998 at 20 C"', "the end gravity, for the latest day"),
        ('later 2026-10-03 --volume "19 L" --change "heat 1 C higher"', "of that date"),
    ),
    "days": (
        ("days --last 3", "the latest three side by side"),
        ("days --pot kettle --csv -o days.csv", "all of one pot, for a spreadsheet"),
    ),
    "pots": (
        ("pots", "what each pot has taught"),
        ("pots --predict my-day.toml", "and what that means for this day"),
    ),
    "new": (
        ("new", "asks, then writes a schedule"),
        ('new --wash "20 L at 1.060" --pot "33 L" --yes', "asks nothing"),
    ),
    "listen": (
        ("listen --model ~/whisper-tiny.en", "what `run` starts as its listener"),
        ("listen --model ~/whisper-tiny.en --wav said.wav --asked temperature", "one recording, for a try"),
    ),
    "reckon": (
        ("reckon strike --grain 5kg --water 15L --grain-temp 18C --target 63C", "the strike water"),
        ("reckon alcohol --original 1.060 --final 0.998", "what a wash came to"),
    ),
    "completion": (
        ("completion bash > ~/.local/share/bash-completion/completions/mashday", "for bash"),
        ("completion zsh > ~/.zfunc/_mashday", "for zsh, with ~/.zfunc in fpath"),
        ("completion fish > ~/.config/fish/completions/mashday.fish", "for fish"),
    ),
}
"""Command lines to begin with, each with what it does."""


class _Parser(argparse.ArgumentParser):
    """A parser whose refusals act on no terminal: some repeat an argument as it was given."""

    def error(self, message: str) -> NoReturn:
        from mashday.text import cleaned

        super().error(cleaned(message, 1000))


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    top = _Parser(
        prog="mashday",
        description="A brew-day step timer and checklist for mashing grain at home, up to the pitched wash.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"mashday {__version__}")
    top.set_defaults(command=("beside", "start"), asked=top, sessions=None, units=None)
    top.set_defaults(**dict.fromkeys(HANDS_FREE))
    commands = top.add_subparsers(title="commands", metavar="COMMAND")

    run = _command(
        commands, "run", ("beside", "run"), "the day beside the pot, full screen or as plain lines"
    )
    run.add_argument("file", metavar="FILE", help="a schedule, or the name of a sample")
    run.add_argument("--plain", action="store_true", help="plain lines on standard input and output")
    run.add_argument("--rehearse", action="store_true", help="a simulated pot, and time that runs fast")
    run.add_argument(
        "--from",
        dest="from_step",
        metavar="STEP",
        help="begin in mid-mash at this step (its number, kind or title): asks what is in the pot",
    )
    run.add_argument(
        "--anyway", action="store_true", help="begin a day of which check says it cannot be done"
    )
    run.add_argument("--rate", type=_rate, default=60.0, help="how fast the rehearsal's clock runs (60)")
    _seed(run)
    _hands_free(run)

    resume = _command(
        commands, "resume", ("beside", "resume"), "take up an unfinished day, the latest if none is named"
    )
    resume.add_argument("session", metavar="SESSION", nargs="?", help="a path or the beginning of a name")
    resume.add_argument("--plain", action="store_true", help="plain lines on standard input and output")
    _hands_free(resume)

    plan = _command(
        commands, "plan", ("paper", "plan"), "the day on paper: strike, volumes, fit, gravity, times"
    )
    plan.add_argument("file", metavar="FILE", help="a schedule, or the name of a sample")
    when = plan.add_mutually_exclusive_group()
    when.add_argument("--start", type=_time, metavar="10:00", help="when the day begins")
    when.add_argument("--ready", type=_time, metavar="16:30", help="when it is to be over")
    _output(plan, "markdown", "html")

    check = _command(
        commands, "check", ("paper", "check"), "what is wrong with a file, and whether its day can be done"
    )
    check.add_argument("files", metavar="FILE", nargs="+", help="schedules, or names of samples")
    _output(check)

    rehearse = _command(
        commands, "rehearse", ("rehearse", "rehearse"), "a whole simulated day without a terminal"
    )
    rehearse.add_argument("file", metavar="FILE", help="a schedule, or the name of a sample")
    _seed(rehearse)
    rehearse.add_argument(
        "--days",
        type=_days,
        metavar="N",
        help="so many days, three to a pot: only their figures, beside hand rules and an unchecked dial",
    )
    _output(rehearse)

    summary = _command(
        commands, "summary", ("paper", "summary"), "the summary of a day, the latest if none is named"
    )
    summary.add_argument("session", metavar="SESSION", nargs="?", help="a path or the beginning of a name")
    _output(summary, "markdown", "html", "csv")

    _later(commands)
    _past(commands)
    _new(commands)
    _listen(commands)

    reckon = commands.add_parser(
        "reckon",
        help="one sum on the spot, with its working",
        description="One sum, with its working.",
        **_shown("reckon"),
    )
    sums = reckon.add_subparsers(title="sums", metavar="WHAT", dest="what", required=True)
    for name, what in SUMS.items():
        _sum(sums, name, what)

    completion = commands.add_parser(
        "completion",
        help="what lets a shell complete commands and options",
        description="Writes what lets a shell complete the commands and options of mashday.\nIt is made by"
        " the extra completion: pip install 'mashday[completion]'.",
        allow_abbrev=False,
        **_shown("completion"),
    )
    completion.add_argument("shell", choices=SHELLS, metavar="SHELL", help=" or ".join(SHELLS))
    completion.set_defaults(command=("completion", "completion"), asked=completion, whole=top, output=None)
    return top


def _shown(command: str) -> dict[str, Any]:
    """The examples of a command, as they stand under its options."""
    longest = max(len(line) for line, _ in EXAMPLES[command])
    rows = [f"  mashday {line:<{longest}}  {does}" for line, does in EXAMPLES[command]]
    if max(map(len, rows)) > COLUMNS:
        rows = [f"  mashday {line}\n      {does}" for line, does in EXAMPLES[command]]
    epilog = "\n".join(["examples:", *rows])
    return {"epilog": epilog, "formatter_class": argparse.RawDescriptionHelpFormatter}


LATER: dict[str, tuple[str, str]] = {
    "gravity": ("GRAVITY", 'the end gravity and the temperature of its sample: "0.998 at 20 C"'),
    "volume": ("VOLUME", 'the volume of the wash: "19 L"'),
    "temperature": ("TEMPERATURE", 'the temperature of the wash: "21 C"'),
    "note": ("WORDS", "a note"),
    "wrong": ("WORDS", "what went wrong that day"),
    "mended": ("WORDS", "how it was mended"),
    "change": ("WORDS", "what to change next time"),
}
"""What can be added to a day that is over: what stands behind each, and what it tells."""


def _later(commands: Any) -> None:
    made = _command(
        commands, "later", ("later", "later"), "add what is read days later to a day that is over"
    )
    made.add_argument("session", metavar="SESSION", nargs="?", help="a path or the beginning of a name")
    for name, (value, does) in LATER.items():
        made.add_argument(f"--{name}", metavar=value, help=does)
    made.add_argument("--sure", action="store_true", help="keep to what is doubted")
    made.add_argument("--rehearsed", action="store_true", help="to a rehearsed day too")
    _output(made)


def _past(commands: Any) -> None:
    days = _command(commands, "days", ("past", "days"), "past days side by side, the latest first")
    days.add_argument(
        "--schedule", metavar="NAME", help="only days of this schedule, or of names with this in"
    )
    days.add_argument("--pot", metavar="NAME", help="only days of this pot, or of names with this in")
    days.add_argument("--since", type=_date, metavar="2026-09-01", help="only days from this date on")
    days.add_argument("--last", type=_count, metavar="N", help="only the latest N")
    days.add_argument("--rehearsed", action="store_true", help="rehearsed days instead of real ones")
    _output(days, "csv")
    pots = _command(commands, "pots", ("past", "pots"), "what each pot has taught")
    pots.add_argument(
        "--predict", metavar="FILE", help="what that comes to for the strike of this schedule or sample"
    )
    _output(pots)


NEW: dict[str, tuple[str, str]] = {
    "name": ("WORDS", "what the day is called, and its file after it"),
    "wash": ("VOLUME", 'wash into the fermenter: "20 L", or with its gravity "20 L at 1.060"'),
    "gravity": ("GRAVITY", "gravity of the wash before the yeast: 1.060, 15 P"),
    "pot": ("VOLUME", "what the pot holds to the brim"),
    "material": ("STUFF", "what the pot is made of"),
    "heater": ("POWER", "what heats it, such as 2.5 kW or gas 12000 BTU/h, or none"),
    "by": ("METHOD", "squeezed bag, hung bag, drained, batch sparge or on the grain"),
    "cool": ("METHOD", "coil, ice bath or standing"),
    "pitch": ("WHEN", "same evening or next morning"),
    "yeast": ("WORDS", "which yeast; how much is worked out"),
    "room": ("TEMPERATURE", "how warm the room and the grain are"),
    "tap": ("TEMPERATURE", "how warm tap water is"),
    "altitude": ("LENGTH", "height above the sea"),
    "thermometer": ("KIND", "digital, dial, glass, Pt100 or thermocouple"),
}
"""The options of a new day that take one text: what stands behind each, and what it tells."""


def _new(commands: Any) -> None:
    made: argparse.ArgumentParser = commands.add_parser(
        "new",
        help="asks a few questions and writes a schedule; every answer also as an option",
        description="Asks a few questions, works grain and water out, and writes a schedule with comments."
        " What an option tells is not asked; without a terminal nothing is.",
        allow_abbrev=False,
        **_shown("new"),
    )
    made.add_argument(
        "--grain",
        action="append",
        metavar="KIND[=AMOUNT]",
        help='a grain, with its weight ("barley malt=5 kg") or its share ("raw maize=60 %%"), or neither;'
        " repeated for each",
    )
    for name, (value, does) in NEW.items():
        made.add_argument(f"--{name}", metavar=value, help=does)
    switch = argparse.BooleanOptionalAction
    made.add_argument("--wrapped", action=switch, help="a blanket round the pot while the mash stands")
    made.add_argument("--sparge", action=switch, help="the grain is rinsed with hot water")
    made.add_argument("--units", choices=("metric", "us"), help="what is written and shown")
    made.add_argument("--yes", action="store_true", help="ask nothing: the usual for all that is not told")
    made.add_argument("--fit", action="store_true", help="write the largest that fits where it does not")
    made.add_argument(
        "--enzyme", action="store_true", help="a step for bottled enzyme, where malt brings too little"
    )
    made.add_argument("--force", action="store_true", help="overwrite the file named by -o")
    made.add_argument("--json", action="store_true", help="the plan as JSON, always metric; asks nothing")
    made.add_argument("-o", "--output", metavar="FILE", help="the file to write; else named after the day")
    made.set_defaults(command=("new", "new"), asked=made)


ASKED = ("temperature", "gravity", "volume", "mass", "minutes", "ph", "count", "keep", "words")
"""What can be listened for, as `mashday.channels.listener_lines` has it."""


def _listen(commands: Any) -> None:
    made: argparse.ArgumentParser = commands.add_parser(
        "listen",
        help="spoken answers as lines, beside a day that asks for them (experimental)",
        description="Hears answers when a day asks for them on standard input, and writes them to standard"
        " output as lines. Experimental. Needs an extra (mashday[listen]) and a model of your own; uses no"
        " network and keeps no sound.",
        allow_abbrev=False,
        **_shown("listen"),
    )
    made.add_argument(
        "--model", metavar="FOLDER", required=True, help="a Whisper model in CTranslate2's form, for English"
    )
    made.add_argument(
        "--second",
        action="store_true",
        help="a second recogniser has to hear the same (mashday[listen-second]): fewer slips, more to repeat",
    )
    where = made.add_mutually_exclusive_group()
    where.add_argument("--device", metavar="NAME", help="the microphone, by its number or a part of its name")
    where.add_argument(
        "--pcm",
        metavar="WHERE",
        help="raw sound instead (16 kHz, one channel, 16 bits): a file, a FIFO, or command: and a program",
    )
    where.add_argument("--wav", metavar="FILE", help="one recording instead, for a try")
    made.add_argument(
        "--asked",
        dest="kind",
        choices=ASKED,
        metavar="KIND",
        help=f"with --wav, what was asked for: {', '.join(ASKED[:-1])} or {ASKED[-1]}",
    )
    made.set_defaults(command=("listen", "listen"), asked=made)


def _sum(sums: Any, name: str, what: Sum) -> None:
    made: argparse.ArgumentParser = sums.add_parser(
        name, help=what.does, description=f"{what.does[0].upper()}{what.does[1:]}.", allow_abbrev=False
    )
    for option in what.options:
        if option.positional:
            made.add_argument(f"of_{option.name}", metavar="VALUE", nargs="?", help=option.says)
        else:
            made.add_argument(
                f"--{option.name}",
                dest=f"of_{option.name}",
                metavar="X",
                action="append",
                help=option.says,
            )
    made.add_argument("--units", choices=("metric", "us"), help="what is shown; as it was asked")
    _output(made)
    made.set_defaults(command=("reckon", "reckon"), asked=made)


def _command(commands: Any, name: str, function: tuple[str, str], help_text: str) -> argparse.ArgumentParser:
    made: argparse.ArgumentParser = commands.add_parser(
        name,
        help=help_text,
        description=help_text[0].upper() + help_text[1:] + ".",
        allow_abbrev=False,
        **_shown(name),
    )
    made.add_argument("--sessions", metavar="DIR", help="the folder the session files are kept in")
    made.add_argument("--units", choices=("metric", "us"), help="what is shown; the schedule decides else")
    made.set_defaults(command=function, asked=made)
    return made


HANDS_FREE: dict[str, tuple[str, str]] = {
    "probe": (
        "WHERE",
        "a live thermometer: one_wire:NAME, serial:DEVICE, mqtt:HOST/TOPIC, file:PATH, or a command that"
        " prints a temperature a line (a rehearsal reads its simulated pot instead)",
    ),
    "hands_free": ("", "take what the probe shows by itself, once it was announced and stands still"),
    "say": ("VOICE", "say aloud what to do: auto for the machine's own voice, file:PATH, or a command"),
    "sound": ("PLAYER", "play the signals: auto (as on the full screen of a real day), off, or a command"),
    "on_call": ("COMMAND", "run this with every call, its text on the command's input"),
    "listen_to": ("WHERE", "take the words of the line mode from a FIFO or from a program as well"),
    "listener": (
        "COMMAND",
        'spoken answers, experimental: the listener to run, such as "mashday listen --model FOLDER"; it needs'
        " a voice (--say)",
    ),
    "pedal": ("KEY", "a pedal or clicker answers: presenter, enter, or the name of its key"),
    "notify": ("", "show each new call as a desktop notification, where the terminal can"),
}
"""The options for wet hands: what stands behind each, "" for a switch, and what it does."""


def _hands_free(made: argparse.ArgumentParser) -> None:
    group = made.add_argument_group(
        "for wet hands",
        "Each may also be set as a variable, its name in capitals behind MASHDAY_ (MASHDAY_ON_CALL); 'off'"
        " leaves out what that or the schedule names.",
    )
    for name, (value, does) in HANDS_FREE.items():
        option = f"--{name.replace('_', '-')}"
        if value:
            group.add_argument(option, dest=name, metavar=value, help=does)
        else:
            group.add_argument(option, dest=name, action="store_true", default=None, help=does)


PAGES = {
    "markdown": "as Markdown",
    "html": "as one HTML file, to read or to print",
    "csv": "as CSV, a row each",
}
"""What a report can be written as beside text and JSON."""


def _output(made: argparse.ArgumentParser, *pages: str) -> None:
    written_as = made.add_mutually_exclusive_group()
    written_as.add_argument("--json", action="store_true", help="as JSON, always metric")
    for page in pages:
        written_as.add_argument(f"--{page}", action="store_true", help=PAGES[page])
    made.add_argument("-o", "--output", metavar="FILE", help="write to this file instead of standard output")


def _seed(made: argparse.ArgumentParser) -> None:
    made.add_argument("--seed", type=int, default=1, help="which simulated pot (1)")


def _rate(text: str) -> float:
    rate = float(text)
    if not 1.0 <= rate <= 3600.0:
        raise argparse.ArgumentTypeError("between 1 and 3600")
    return rate


def _days(text: str) -> int:
    days = int(text)
    if not 1 <= days <= 100_000:
        raise argparse.ArgumentTypeError("between 1 and 100000")
    return days


def _count(text: str) -> int:
    count = int(text)
    if count < 1:
        raise argparse.ArgumentTypeError("1 or more")
    return count


def _date(text: str) -> Any:
    from datetime import date

    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no date; write it like 2026-09-01") from None


def _time(text: str) -> Any:
    import re
    from datetime import time

    parts = re.fullmatch(r"([0-9]{1,2})(?:[:.]([0-9]{2}))?\s*(?:([ap])\.?m\.?)?", text.strip(), re.IGNORECASE)
    try:
        if parts is None:
            raise ValueError
        hour, half = int(parts[1]), (parts[3] or "").lower()
        if half and not 1 <= hour <= 12:
            raise ValueError
        return time(hour % 12 + (12 if half == "p" else 0) if half else hour, int(parts[2] or 0))
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no time of day; write it like 10:00") from None

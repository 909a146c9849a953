"""The pages that open over the board: keys and words, this step in full, the checklist, the day so far."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from mashday.engine.fold import evolve
from mashday.engine.state import State
from mashday.faces import closing, glossary, telling
from mashday.faces.entries import entry_lines
from mashday.faces.tui import keys as table
from mashday.faces.tui.keyline import is_open
from mashday.faces.tui.rows import harmless
from mashday.faces.view import View
from mashday.faces.vocabulary import WORDS
from mashday.session.session import Session

Page = tuple[str, ...]
FOOT = "arrows, Page keys: scroll; Esc: back"
FOOT_WHILE_ASKED = "arrows, Page keys: scroll"
FOOT_WHEN_OVER = "1-3: write; arrows, Space: scroll; Enter: done"
FOOT_OF_A_LOOK = "arrows, Page keys, Space: scroll; Enter: done"
SCROLLS = {"down": 1, "up": -1, "pagedown": 10, "right": 10, "pageup": -10, "left": -10, "home": -10_000}


def nothing() -> Page:
    """The lines of no page."""
    return ()


@dataclass(slots=True)
class OpenPage:
    """The page over the board and how far it is scrolled; none while the title is empty."""

    title: str = ""
    lines: Callable[[], Page] = nothing
    top: int = 0

    def scrolled(self, key: str) -> bool:
        """Scrolls by this key; false if it scrolls nothing."""
        if key not in SCROLLS:
            return False
        self.top = min(max(0, self.top + SCROLLS[key]), len(self.lines()))
        return True


def page(lines: Iterable[str]) -> Page:
    """Lines without anything a terminal could act on."""
    return tuple(harmless(line) for line in lines)


def keys_and_words(keys: tuple[table.Key, ...], view: View) -> Page:
    """What can be pressed at this moment, the other keys, then what can be said."""
    usable = tuple(key for key in keys if is_open(key, view))
    others = tuple(key for key in keys if key not in usable)
    words = (f"{word.written:<24}  {word.does}" for word in WORDS.values())
    colon = table.of(keys, "word").first
    rest = ("", "At other moments", "", *table.rows(others)) if others else ()
    return page(
        (
            *("Keys that do something now", "", table.NUMBER_ROW, *table.rows(usable), *rest),
            *("", f"Words, typed after {colon}", "", *words),
        )
    )


def terms(view: View) -> Page:
    """The words of the step under way, then all of them."""
    everything = glossary.lines(glossary.everything())
    here = (*view.terms, "", "All of them", "") if view.terms else ()
    return page((*here, *everything))


def this_step(view: View) -> Page:
    """All of the step under way: what to do, its cautions, when it goes wrong, what is expected."""
    lines = [view.instruction, *view.details]
    for title, said in (
        ("Take care", view.cautions),
        ("If it goes wrong", view.if_it_goes_wrong),
        ("Words of the trade", view.terms),
        ("What is now expected", view.outlook),
    ):
        if said:
            lines += ["", title, *(f"  {line}" for line in said)]
    return page(lines)


def whole_list(view: View) -> Page:
    """Every item of the checklist with its number and value."""
    if not view.checklist:
        return ("This step has no checklist.",)
    return page(
        f"[{'x' if item.ticked else ' '}] {item.number}  {item.text}{': ' + item.value if item.value else ''}"
        for item in view.checklist
    )


def summary(session: Session) -> Page:
    """The summary of the day, under the three lines that close it; a look asks for none."""
    asked = () if session.view_only else (*closing_lines(session.state), "")
    return page((*asked, *telling.summary(session)))


def closing_lines(state: State) -> Page:
    """What closed the day, or the question for it, each behind the digit that writes it."""
    return tuple(
        f"{digit}  {closing.told(which, state) or asks}"
        for digit, (which, asks) in enumerate(closing.QUESTIONS.items(), 1)
    )


def so_far(session: Session) -> Page:
    """The readings with their numbers, then everything that was written down, oldest first."""
    told: list[str] = []
    state = State()
    for entry in session.state.log:
        state = evolve(state, entry)
        told += entry_lines(entry, state, session.schedule)
    return page((*telling.log(session), "", "Everything so far", "", *told))

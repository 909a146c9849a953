"""What the start screen offers, and the rows it is shown in."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from rich.cells import cell_len

from mashday.engine import intents
from mashday.faces.tui import choices, past_days
from mashday.faces.tui.choices import FIRST_USE, front
from mashday.faces.tui.past_days import MOST_LISTED, kept, past
from mashday.faces.tui.schedule_page import schedule_page
from mashday.faces.tui.start_page import (
    KEYS,
    Choice,
    Group,
    Listing,
    Offer,
    Reading,
    keys_page,
    listing_rows,
    reading_rows,
)
from mashday.report.summary import summary
from mashday.schedule.door import load
from mashday.schedule.samples import find, sample_names
from mashday.session.clock import VIRTUAL_START, VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin

BARLEY = find("lock-seven-barley")[1]
NOW = VirtualClock(VIRTUAL_START + timedelta(days=30), elapsed=30 * 86400.0)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "days"
    made.mkdir()
    return made


@pytest.fixture
def here(tmp_path: Path) -> Path:
    made = tmp_path / "here"
    made.mkdir()
    return made


def kept_day(folder: Path, *said: intents.Intent, days: int = 0, rehearsed: bool = False) -> Path:
    """A day in the folder, begun so many days after the first, with what was said in it."""
    clock = VirtualClock(VIRTUAL_START + timedelta(days=days))
    session = begin(BARLEY, clock, folder=folder, rehearsed=rehearsed)
    for one in said:
        clock.advance(600.0)
        assert session.send(one).refused is None
    session.close()
    assert session.path is not None
    return session.path


def damaged(path: Path) -> Path:
    path.write_bytes(path.read_bytes().replace(b'\nkind = "', b'\nkind =  "', 1))
    return path


def text_of(page: Listing, width: int = 200) -> str:
    return "\n".join(listing_rows(page, page.marked, width)[0])


def shown(page: object, width: int = 200) -> str:
    assert isinstance(page, Reading)
    return "\n".join(reading_rows(page, width))


def opened(offer: Offer) -> object:
    assert offer.opens is not None
    return offer.opens()


START = intents.Start()
FINISH = intents.Finish(sure=True)
ABORT = intents.Abort(sure=True)


def test_open_days_come_first_then_schedules_of_this_folder_then_samples_then_past_days(
    folder: Path, here: Path
) -> None:
    open_day = kept_day(folder, START, days=2)
    kept_day(folder, START, FINISH, days=1)
    (here / "my-day.toml").write_text(BARLEY)
    page = front(folder, here, NOW)
    headings = [group.heading for group in page.groups]
    assert headings == ["An open day", "Schedules in this folder", "Samples", "Past"]
    assert page.offers[0].choice == Choice(str(open_day), resumes=True)
    assert page.offers[0].text == "go on with Lock Seven barley wash, of 2026-10-05 10:10"
    assert page.offers[0].below.startswith("at step 1, Set-up; left 30 days ago")
    assert page.offers[1].text == "my-day.toml: Lock Seven barley wash"
    assert len(page.groups[2].offers) == len(sample_names())
    assert page.offers[-1].text == "past days: 1, the last of 2026-10-04"
    assert page.marked == 0


def test_of_several_open_days_the_latest_comes_first_and_rehearsed_ones_do_not_come(
    folder: Path, here: Path
) -> None:
    older, newer = kept_day(folder, START), kept_day(folder, START, days=3)
    kept_day(folder, START, days=4, rehearsed=True)
    taken_up = [offer.choice.what for offer in front(folder, here, NOW).groups[0].offers if offer.choice]
    assert taken_up == [str(newer), str(older)]


def test_a_day_that_was_opened_and_left_does_not_stand_among_the_open_ones(folder: Path, here: Path) -> None:
    kept_day(folder)
    kept_day(folder, intents.ChooseUnits("us"), days=1)
    page = front(folder, here, NOW)
    assert [group.heading for group in page.groups] == ["Samples"] and page.above == FIRST_USE


def test_a_day_never_begun_in_which_something_was_entered_can_be_taken_up(folder: Path, here: Path) -> None:
    path = kept_day(folder, intents.WriteNote("malt weighed"))
    offer = front(folder, here, NOW).offers[0]
    assert offer.choice == Choice(str(path), resumes=True)
    assert offer.below.startswith("not begun yet")


def test_a_file_with_nothing_but_its_beginning_can_be_taken_up(folder: Path, here: Path) -> None:
    path = kept_day(folder)
    path.write_bytes(path.read_bytes().partition(b"[[entry]]")[0])
    offer = front(folder, here, NOW).offers[0]
    assert (offer.text, offer.below) == ("go on with Lock Seven barley wash", "not begun yet")
    assert offer.choice == Choice(str(path), resumes=True)


def test_a_damaged_day_is_named_after_the_sound_ones_and_can_be_looked_at(folder: Path, here: Path) -> None:
    sound, bad = kept_day(folder, START), damaged(kept_day(folder, START, days=1))
    first, second = front(folder, here, NOW).offers[:2]
    assert first.choice == Choice(str(sound), resumes=True)
    assert second.text == "look at Lock Seven barley wash"
    assert second.below.startswith(f"Entry 1 of {bad.name} was changed after it was written")
    assert second.choice == Choice(str(bad), resumes=True)


def test_no_command_is_named_for_a_day_nothing_can_be_read_of(folder: Path, here: Path) -> None:
    bad = kept_day(folder, START)
    bad.write_bytes(bad.read_bytes().replace(b"[session]", b"[sessiom]"))
    offer = front(folder, here, NOW).offers[0]
    assert offer.text == f"{bad.name} cannot be taken up" and offer.choice is None
    page = shown(opened(offer))
    assert "does not begin as a session file does" in page
    assert "mashday summary" not in page
    assert str(folder) in page


def test_a_day_whose_beginning_is_gone_is_shown_by_the_copy_beside_it(folder: Path, here: Path) -> None:
    bad = kept_day(folder, START)
    bad.with_name(f"{bad.name}.bak").write_bytes(bad.read_bytes())
    bad.write_bytes(bad.read_bytes().replace(b"[session]", b"[sessiom]"))
    offer = front(folder, here, NOW).offers[0]
    assert offer.text == "look at Lock Seven barley wash"
    assert "In the copy beside it (.bak) 3 entries are sound" in offer.below


def test_a_day_that_went_on_in_another_file_is_offered_there_or_told_where(
    folder: Path, here: Path, tmp_path: Path
) -> None:
    for place, offered in ((folder, 1), (tmp_path / "stick", 2)):
        for path in folder.iterdir():
            path.unlink()
        session = begin(BARLEY, VirtualClock(), folder=folder)
        session.send(START)
        new = session.save_whole(place)
        session.close()
        offers = [offer for offer in front(folder, here, NOW).offers if "autumn" not in offer.text]
        days = [offer for offer in offers if offer.choice is not None and offer.choice.resumes]
        assert len(days) == 1
        if offered == 1:
            assert days[0].choice == Choice(str(new), resumes=True)
        else:
            assert f"This day went on in another file. Take it up with: mashday resume {new}" == days[0].below


def test_a_day_that_another_window_has_open_can_be_looked_at(folder: Path, here: Path) -> None:
    session = begin(BARLEY, VirtualClock(), folder=folder)
    session.send(START)
    try:
        offer = front(folder, here, NOW).offers[0]
    finally:
        session.close()
    assert offer.text.startswith("look at Lock Seven barley wash") and offer.choice is not None
    assert "open in another window" in offer.below


def test_a_schedule_to_be_mended_stands_in_its_place_and_opens_all_of_its_problems(
    folder: Path, here: Path
) -> None:
    bad = BARLEY.replace('volume = "33 L"', 'volume = "33 bananas"').replace('"5 kg"', '"5 ducks"')
    (here / "a-bad-one.toml").write_text(bad)
    (here / "my-day.toml").write_text(BARLEY)
    offer = front(folder, here, NOW).offers[0]
    assert (offer.text, offer.choice) == ("a-bad-one.toml: to mend first", None)
    assert "bananas" in offer.below and offer.below.endswith("; and 1 more")
    page = shown(opened(offer))
    assert "2 things are to mend" in page
    assert "bananas" in page and "ducks" in page


def test_other_toml_files_folders_and_files_nobody_may_read_are_left_out(folder: Path, here: Path) -> None:
    (here / "other.toml").write_text("[tool]\nx = 1\n")
    (here / "folder.toml").mkdir()
    (here / "gone.toml").symlink_to(here / "nowhere")
    assert [group.heading for group in front(folder, here, NOW).groups] == ["Samples"]


def test_very_many_files_do_not_hold_the_first_page_up(
    folder: Path, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(choices, "MOST_SCHEDULES", 2)
    monkeypatch.setattr(choices, "MOST_OPEN_DAYS", 1)
    for number in range(3):
        (here / f"day-{number}.toml").write_text(BARLEY)
        kept_day(folder, START, days=number)
    page = front(folder, here, NOW)
    assert [len(group.offers) for group in page.groups[:2]] == [1, 2]
    assert page.groups[0].heading == "Open days, the latest of 3; any other: mashday resume and its name"
    assert page.groups[1].heading.endswith("any other: mashday run and its name")


def test_a_schedule_may_be_written_without_table_headings(folder: Path, here: Path) -> None:
    inline = 'format = 1\nname = "Lamps"\nstep = [{ kind = "do", text = "Light the lamp" }]\n'
    inline += 'pot = { name = "kettle", volume = "33 L", mass = "4 kg", material = "stainless steel" }\n'
    (here / "inline.toml").write_text(inline)
    offer = front(folder, here, NOW).offers[0]
    assert offer.text.startswith("inline.toml: Lamps")


def test_text_of_files_reaches_no_terminal_as_control_characters(folder: Path, here: Path) -> None:
    (here / "\x1b[31mred.toml").write_text(BARLEY)
    (here / "bad.toml").write_text(BARLEY.replace('kind = "pitch"', 'kind = "\x1b]0;x\x07"'))
    page = front(folder, here, NOW)
    told = text_of(page) + "".join(shown(opened(offer)) for offer in page.groups[0].offers)
    assert "\x1b" not in told and "\x07" not in told


def test_the_first_use_says_what_to_do_and_marks_the_shortest_sample(folder: Path, here: Path) -> None:
    page = front(folder, here, NOW)
    assert page.above == FIRST_USE
    assert page.offers[page.marked].text == "Lock Seven barley wash"
    kept_day(folder, START, rehearsed=True)
    assert front(folder, here, NOW).above == ()


def test_whether_it_fits_and_by_how_much_stands_in_the_line(folder: Path, here: Path) -> None:
    (here / "large.toml").write_text(BARLEY.replace('mass = "5 kg"', 'mass = "25 kg"'))
    (here / "right.toml").write_text(BARLEY)
    large, right = front(folder, here, NOW).offers[:2]
    # derived: 15 L at 65 C (15.3 L) and 5 kg at 0.667 L/kg; 33 L less that; as `mashday plan` tells it
    assert right.facts[3] == "fits, 14.4 L to the rim"
    assert large.facts[3].startswith("does not fit, ") and large.facts[3].endswith(" L too much")


def test_facts_stand_in_columns_where_there_is_room_and_below_where_there_is_not() -> None:
    offers = (Offer("one", ("5 kg", "10 L")), Offer("another", ("12.5 kg", "9 L")))
    page = Listing("x", (Group("Both", offers),))
    assert listing_rows(page, 1, 40)[0] == (
        "Both",
        "  1  one      5 kg     10 L",
        "> 2  another  12.5 kg  9 L",
    )
    assert listing_rows(page, 1, 22)[0] == (
        "Both",
        "  1  one",
        "     5 kg, 10 L",
        "> 2  another",
        "     12.5 kg, 9 L",
    )


def test_on_a_narrow_screen_gaps_between_columns_shrink_before_a_line_is_folded() -> None:
    page = Reading("x", ("  1 rest                 10:00      63.0 C",))
    assert reading_rows(page, 60) == page.lines
    assert reading_rows(page, 30) == ("  1 rest  10:00  63.0 C",)
    fact = Reading("x", ("Water   22.5 L in all: 15.0 L for the mash",))
    assert reading_rows(fact, 30) == ("Water   22.5 L in all: 15.0 L", "        for the mash")


def test_the_summary_of_a_day_keeps_its_columns_on_eighty(folder: Path) -> None:
    page = past_days.day_page(kept_day(folder, START, FINISH))
    assert isinstance(page, Reading)
    assert reading_rows(page, 78) == page.lines


def test_a_very_long_name_does_not_take_the_columns_from_the_others() -> None:
    offers = (Offer("n" * 60, ("5 kg",)), Offer("short", ("12.5 kg",)))
    rows, _ = listing_rows(Listing("x", (Group("Both", offers),)), 0, 80)
    assert rows[1:] == (f"> 1  {'n' * 60}", "     5 kg", "  2  short  12.5 kg")


def test_the_marked_offer_is_kept_in_sight_with_what_stands_below_it() -> None:
    offers = tuple(Offer(f"day {n}", below="open") for n in range(12))
    rows, last = listing_rows(Listing("x", (Group("Days", offers),)), 10, 60)
    assert rows[last - 1 : last + 1] == ("> 11  day 10", "      open")


@pytest.mark.parametrize("width", [1, 18, 58, 78, 118, 198])
def test_no_row_is_wider_than_the_screen_from_sixty_columns_on(folder: Path, here: Path, width: int) -> None:
    kept_day(folder, START)
    damaged(kept_day(folder, START, days=1))
    (here / "my-day.toml").write_text(BARLEY.replace("Lock Seven barley", "\u6c34" * 50))
    page = front(folder, here, NOW)
    rows, _ = listing_rows(page, 0, width)
    rows += reading_rows(keys_page(), width)
    assert rows
    if width >= 58:
        assert max(cell_len(row) for row in rows) <= width


def test_the_page_of_a_schedule_tells_the_day_and_begins_it_by_one_or_two() -> None:
    page = schedule_page(load(BARLEY), "lock-seven-barley", None, datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    told = shown(page)
    assert page.begins == "lock-seven-barley"
    assert "1  the real day" in told
    assert "nothing is at risk" in told and "60 times as fast" in told
    # published: the sample file itself; the strike and the clock times as `mashday plan --start 10:00`
    assert "Grain   5.00 kg pale barley malt" in told
    assert "22.5 L in all: 15.0 L for the mash, 7.5 L to sparge" in told
    assert "Strike  15.0 L of water at 69.0 C, to land at 63.0 C" in told
    assert " 2  10:20  Heat" in told
    assert "done about 13:29" in told


def test_what_to_mind_stands_on_the_page_of_a_schedule() -> None:
    schedule = load(BARLEY.replace('mass = "5 kg"', 'mass = "25 kg"'))
    told = shown(schedule_page(schedule, "x", None, datetime(2026, 10, 3, 22, 0, tzinfo=UTC)))
    assert "does not fit" in told
    assert "first see below what to mind" in told
    assert told.index("To mind before you begin") < told.index("Steps, if begun now")
    assert "a larger pot" in told
    assert "the day after" in told


def test_the_page_of_a_schedule_has_no_time_from_where_its_heater_is_too_weak() -> None:
    schedule = load(BARLEY.replace('heater = "2.5 kW"', 'heater = "0.06 kW"'))
    told = shown(schedule_page(schedule, "x", None, datetime(2026, 10, 3, 10, 0, tzinfo=UTC)))
    steps = re.findall(r"^ *(\d+)  (\S+)  .*$", told[told.index("Steps, if begun now") :], re.MULTILINE)
    assert [begins for _, begins in steps] == ["10:00", *["-"] * (len(schedule.steps) - 1)]
    rest = next(row for row in told.splitlines() if re.match(r" *4  -", row))
    assert " min" not in rest and "step 2 cannot be reached" in told


def test_past_days_are_listed_the_latest_first_with_how_they_went(folder: Path) -> None:
    kept_day(folder, START, ABORT)
    kept_day(folder, START, intents.WriteNote("gas is low"), FINISH, days=8)
    page = past(kept(folder))
    assert isinstance(page, Listing)
    first, second = page.offers
    assert first.text == "2026-10-11  Lock Seven barley wash"
    assert first.facts[2:] == ("20 min", "ended early")
    assert second.facts == ("", "", "10 min", "given up")
    assert "SUMMARY  Lock Seven barley wash" in shown(opened(first))


def test_the_gravity_of_the_wash_stands_in_the_line_of_a_day(folder: Path) -> None:
    session = begin(BARLEY, VirtualClock(), folder=folder, rehearsed=True, seed=1)
    whole_day(session)
    session.close()
    page = past(kept(folder), rehearsed=True)
    assert isinstance(page, Listing)
    measured = summary(session.schedule, session.state, at=session.at).measured
    assert measured.wash_gravity is not None
    assert page.offers[0].facts[0] == f"wash {measured.wash_gravity:.3f}"
    assert page.offers[0].facts[3] == ""


def test_rehearsed_days_stand_behind_their_own_key(folder: Path) -> None:
    kept_day(folder, START, FINISH)
    kept_day(folder, START, FINISH, days=1, rehearsed=True)
    page = past(kept(folder))
    assert isinstance(page, Listing) and page.other is not None
    assert [offer.text[:10] for offer in page.offers] == ["2026-10-03"]
    other = page.other()
    assert isinstance(other, Listing) and other.other is not None
    assert [offer.text[:10] for offer in other.offers] == ["2026-10-04"]
    assert other.other().title == page.title


def test_a_past_day_that_cannot_be_read_is_named(folder: Path) -> None:
    path = kept_day(folder, START, FINISH)
    path.write_bytes(path.read_bytes().replace(b"[session]", b"[sessiom]"))
    page = past(kept(folder))
    assert isinstance(page, Listing)
    assert "does not begin as a session file does" in page.offers[0].below
    assert "does not begin as a session file does" in shown(opened(page.offers[0]))


def test_a_damaged_past_day_shows_what_stands_before_the_damage(folder: Path) -> None:
    path = kept_day(folder, START, intents.WriteNote("gas is low"), FINISH)
    path.write_bytes(path.read_bytes().replace(b"gas is low", b"gas is out"))
    told = shown(past_days.day_page(path))
    assert "was changed after it was written" in told
    assert "SUMMARY  Lock Seven barley wash" in told


def test_a_note_cannot_pass_for_the_end_of_a_day(folder: Path) -> None:
    path = kept_day(folder, START, intents.WriteNote('x\nkind = "day ended"\nrehearsed = true\n'))
    assert kept(folder).open == (path,)


def test_only_the_latest_of_very_many_days_are_listed(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for day in range(3):
        kept_day(folder, START, FINISH, days=day)
    assert MOST_LISTED == 100
    monkeypatch.setattr(past_days, "MOST_LISTED", 2)
    page = past(kept(folder))
    assert isinstance(page, Listing)
    assert [offer.text[:10] for offer in page.offers] == ["2026-10-05", "2026-10-04"]
    assert "2 of 3" in page.groups[0].heading


def test_without_past_days_there_is_no_line_for_them(folder: Path, here: Path) -> None:
    assert past_days.past_offer(kept(folder)) is None
    page = past(kept(folder))
    assert isinstance(page, Listing)
    assert page.groups[0].heading.endswith("none yet.")


def test_every_key_that_matters_is_on_the_page_of_keys() -> None:
    told = shown(keys_page())
    assert len(KEYS) == 9
    for word in ("Enter", "Esc", "real day", "rehearsal", "leaves", "number pad"):
        assert word in told

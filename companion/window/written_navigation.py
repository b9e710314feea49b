"""Navigation from free play and the list of takes to a tune written down, and on to the saved file."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path

from companion.files.folders import from_home, tunes_folder
from companion.files.lines import one_line
from companion.hearing.takes.apart import hear_apart
from companion.hearing.takes.sound_take import hear_take_sound
from companion.listen.model.played import Played
from companion.midi.takes.reading import Take
from companion.notate.from_sound import notate_heard
from companion.notate.notating import Given, NotatedTune, notate
from companion.score.abc.tunebook import read_abc_text
from companion.score.formats.abc_text.writer import abc_of
from companion.score.model import Tune
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.core.screen import Answer, Beneath, Screen
from companion.window.play.play_screen import PlayScreen
from companion.window.written.drafts import DraftKeeper
from companion.window.written.save_screen import SaveScreen
from companion.window.written.written_screen import Write, WrittenScreen

FREE_TITLE = "Free play"
MOST_PLACES = 8


def written_piece(screen: PlayScreen, events: Sequence[Played]) -> WrittenScreen:
    """The screen that writes down a piece of free play."""
    began = datetime.now().astimezone()
    remark = f"written down from free play of {began:%Y-%m-%d %H:%M}"
    return written_over(screen, FREE_TITLE, partial(_notated, tuple(events), FREE_TITLE, remark), began)


def written_take(screen: PlayScreen, take: Take) -> WrittenScreen:
    """The screen that writes down a take; where it has its sound, what is heard in that."""
    began = take.heading.began.astimezone()
    title = take.heading.tune.title if take.heading.tune else FREE_TITLE
    remark = f"written down from a take of {began:%Y-%m-%d %H:%M}"
    if take.sound:
        write = partial(_notated_from_sound, take, title, remark)
    else:
        write = partial(_notated, tuple(take.performance), title, remark)
    return written_over(screen, title, write, began)


def written_over(screen: PlayScreen, title: str, write: Write, began: datetime) -> WrittenScreen:
    """The screen that writes down what was played, one above another over the playing screen, which lends its player.

    Raises UserError where the program's folder is nowhere.
    """
    folder = tunes_folder()
    drafts = DraftKeeper(folder, began)
    saved: list[Path] = []

    def save(tune: Tune, text: str) -> Screen:
        def keep(path: Path) -> None:
            saved.append(path)
            drafts.discard()

        def opens(path: Path) -> Answer:
            return Beneath(Beneath(Beneath(screen.choose_at(str(path)))))

        return SaveScreen(tune.title, places(folder), partial(titled, text), keep, opens)

    def let_go() -> None:
        screen.take_back()
        if drafts.path and not saved:
            screen.tell(f"the tune is kept as a draft: {one_line(from_home(drafts.path))}")

    return WrittenScreen(title, write, screen.lend(), screen.state.sound, save, let_go, drafts, screen.staff)


def titled(text: str, title: str) -> str:
    """A tune's text as ABC with another title."""
    lines = text.split("\n")
    tune = read_abc_text(text).tunes[0]
    new = next(line for line in abc_of(replace(tune, title=title)).split("\n") if line.startswith("T:"))
    rank = next((i for i, line in enumerate(lines) if line.startswith("T:")), None)
    if rank is None:
        rank = next(i for i, line in enumerate(lines) if line.startswith("X:"))
        return "\n".join((*lines[: rank + 1], new, *lines[rank + 1 :]))
    return "\n".join((*lines[:rank], new, *lines[rank + 1 :]))


def places(ours: Path) -> tuple[Path, ...]:
    """The folders that are offered to save in: the program's own, those of files that were opened lately, home."""
    recent = [Path(each.path).parent for each in RecentKeeper.at_home().files]
    with suppress(RuntimeError):
        recent.append(Path.home())
    there = [each for each in dict.fromkeys(recent) if each != ours and each.is_dir()]
    return (ours, *there[:MOST_PLACES])


def _notated(events: Sequence[Played], title: str, remark: str, given: Given) -> NotatedTune:
    return notate(events, given, title=title, remarks=(remark,))


def _notated_from_sound(take: Take, title: str, remark: str, given: Given) -> NotatedTune:
    """In a thread: the sound is heard in a process of its own, once."""
    if take.sound:
        hear_apart(take.sound)
    heard = hear_take_sound(take).heard
    return notate_heard(heard, given, title=title, remarks=(remark,))

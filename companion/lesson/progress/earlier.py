"""Takes in what was played before progress was kept, or while it was not: each file of the folder of takes once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path

from companion.files.places import on_this_computer
from companion.hearing.takes.sound_take import hear_take_sound, judge_sound_take
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.heard import PlayedTake, played_take
from companion.listen.judgement import judge
from companion.midi.takes.heading import TuneIdentity, content_hash
from companion.midi.takes.hearing import hear_take
from companion.midi.takes.own_settings import OwnSettings
from companion.midi.takes.reading import SUFFIX, Take, holds_notes, read_take
from companion.score.bundled import bundled_files
from companion.score.formats.books import read_tunes
from companion.score.model import Tune
from fingering.errors import UserError

AT_REST_S = 60.0
"""A file that was written more lately than this may be of a take that still goes on."""


@dataclass(frozen=True, slots=True)
class Earlier:
    """What came of it: how many takes were taken in, and of how many the tune was not found, which are tried again."""

    taken: int = 0
    without_tune: int = 0


def files_to_take_in(book: ProgressBook, folder: Path, now: datetime) -> tuple[Path, ...]:
    """The takes of a folder that were not looked at yet and are at rest, by name; none where there is no folder."""
    try:
        files = sorted(folder.glob(f"*{SUFFIX}"))
        at_rest = [each for each in files if now.timestamp() - each.stat().st_mtime > AT_REST_S]
    except OSError:
        return ()
    return tuple(each for each in at_rest if not book.was_looked_at(each.name))


def take_in_earlier(
    book: ProgressBook,
    learner: str,
    files: Sequence[Path],
    own: OwnSettings,
    now: datetime,
    *,
    step: Callable[[], None] = lambda: None,
) -> Earlier:
    """Take in these files, each as soon as it is heard.

    learner: whose those are that name nobody. own: in which settings tunes are asked for. step: called after each
    file. Raises UserError where nothing can be written.
    """
    find = cache(_find_tune)
    taken = without_tune = 0
    for file in files:
        try:
            played = read_take(file)
            take = _heard(played, file, find, own)
        except UserError:  # no take, or no performance of its tune
            book.look_at_file(file.name)
        else:
            without_tune += take is None
            taken += take is not None and book.take_in(played.heading.learner or learner, take, now)
        step()
    return Earlier(taken, without_tune)


def _heard(take: Take, file: Path, find: Callable[[TuneIdentity], Tune | None], own: OwnSettings) -> PlayedTake | None:
    """A take as it is kept; None where its tune is not on this computer. Raises UserError for what is none."""
    heading = take.heading
    if not holds_notes(take) and not take.sound:
        raise UserError("nothing was played in it", "delete it", str(file))
    if heading.tune is None:
        return PlayedTake(file.name, heading.began)
    tune = find(heading.tune)
    if tune is None:
        return None
    heard = hear_take(file, tune, None)
    if take.sound:
        sounding = hear_take_sound(take)
        judgement = judge_sound_take(tune, sounding, terms=heard.terms, setting=own.of(tune), where=str(file))
    else:
        judgement = judge(tune, heard.events, terms=heard.terms, setting=own.of(tune), where=str(file))
    return played_take(judgement, tune, file.name, heading.began)


def _find_tune(wanted: TuneIdentity) -> Tune | None:
    """The tune with the very same notes, in the file that the take names or among ours."""
    named = [Path(wanted.file)] if wanted.file and on_this_computer(wanted.file) else []
    for path in (*named, *bundled_files()):
        try:
            tunes = read_tunes(path).tunes if path.is_file() else ()
        except (UserError, OSError, ValueError):
            continue
        for tune in tunes:
            if tune.order and content_hash(tune) == wanted.content:
                return tune
    return None

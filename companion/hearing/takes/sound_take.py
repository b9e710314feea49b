"""A recording as a take: its events are what was heard in its sound, and it is judged by that.

>>> take = recorded_take(Path("take.wav"), tune)
>>> judge_sound_take(tune, hear_take_sound(take)).verdict
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from companion.files.lines import one_line
from companion.hearing.files.sound_file import open_sound
from companion.hearing.heard import HeardNote, HeardSound
from companion.hearing.takes.events import events_of
from companion.hearing.takes.judging import judge_heard
from companion.hearing.takes.recordings import hear_recording, written_at
from companion.listen.judgement import Judgement
from companion.listen.model.counted_in import EARLIEST_S, HELD_ON_S
from companion.listen.model.strictness import Strictness
from companion.listen.model.terms import TakeTerms
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.heading import Heading, TuneIdentity
from companion.midi.takes.reading import Take
from companion.score.model import Tune
from companion.score.setting import Setting
from fingering.errors import UserError

SURE_ENOUGH = 0.8
"""A note that is less sure is shown as unsure, as one that could as well have another name."""


@dataclass(frozen=True, slots=True)
class SoundTake:
    """A take that was heard in its sound. Times are the take's.

    take: with what was heard as its events. heard: what of that belongs to the tune, for the judge. greatest: the
    greatest sample of the sound, 0 to 1.
    """

    take: Take
    heard: HeardSound
    greatest: float

    @property
    def unsure(self) -> tuple[HeardNote, ...]:
        """The notes of which it is not sure that they were there, or which they were."""
        return tuple(each for each in self.heard.notes if each.others or each.confidence < SURE_ENOUGH)


def recorded_take(path: Path, tune: Tune | None) -> Take:
    """A recording as a take of `tune`, None for free play, before anything of it was heard; its times are those of the
    sound. Raises UserError for what is no sound file.
    """
    sound = open_sound(path)
    identity = TuneIdentity.of(tune) if tune else None
    heading = Heading(written_at(path), path.name, DEFAULT_MAP, identity, sound_starts_s=0.0)
    return Take(heading, (), (), sound.frames / sound.rate_hz, path)


def hear_take_sound(take: Take, progress: Callable[[float], None] = lambda share: None) -> SoundTake:
    """Hear a take that has its sound, which is heard once and then kept. progress: is told the share that was heard.

    Raises UserError where the sound is not there, cannot be read, or holds no chanter.
    """
    sound = take.sound
    if sound is None:
        place = one_line(str(take.path)) if take.path else None
        raise UserError("the sound of this take is not there", "put it beside the take again", place)
    kept = hear_recording(sound, progress)
    begins_s = take.sound_begins_s
    is_its_own = sound == take.path
    first_s = -take.heading.tune_starts_s
    end_s = begins_s + kept.heard.duration_s if is_its_own else take.end_s
    notes = tuple(_within(kept.heard.notes, begins_s, first_s, end_s))
    maybe = tuple(_within(kept.heard.maybe, begins_s, first_s, end_s))
    evidence = kept.heard.evidence.moved(begins_s) if kept.heard.evidence else None
    heard = replace(kept.heard, notes=tuple(_of_the_tune(notes, take.heading)), maybe=maybe, evidence=evidence)
    whole = replace(take, messages=(), events=events_of(notes), end_s=end_s)
    return SoundTake(whole, heard, kept.greatest)


def judge_sound_take(
    tune: Tune,
    sounding: SoundTake,
    strictness: Strictness = Strictness.USUAL,
    terms: TakeTerms | None = None,
    *,
    setting: Setting = (),
    where: str | None = None,
) -> Judgement:
    """Judge a take by its sound. terms: how it was asked for, None for as its heading says.

    Raises UserError for what is no performance of the tune.
    """
    asked = sounding.take.heading.terms_for(tune) if terms is None else terms
    return judge_heard(tune, sounding.heard, strictness, asked, setting=setting, where=where)


def _within(notes: Sequence[HeardNote], begins_s: float, first_s: float, end_s: float) -> Iterator[HeardNote]:
    """Yield the notes of a sound that begins at `begins_s`, as far as they lie within the take."""
    for each in notes:
        at_s, stop_s = max(first_s, each.at_s + begins_s), min(end_s, each.stop_s + begins_s)
        if at_s < stop_s:
            yield replace(each, at_s=at_s, stop_s=stop_s)


def _of_the_tune(notes: Sequence[HeardNote], heading: Heading) -> Iterator[HeardNote]:
    """Yield the notes without what sounded before the tune started, by the rule of `CountedInGate`: a first note may be
    early, or held on."""
    if not (heading.counted_s or heading.held):
        yield from notes
        return
    starts_s = heading.counted_s - heading.tune_starts_s
    for each in notes:
        if each.at_s >= starts_s - EARLIEST_S and (heading.counted_s or each.at_s > starts_s):
            yield each
        elif each.stop_s >= starts_s + HELD_ON_S:
            yield replace(each, at_s=starts_s)

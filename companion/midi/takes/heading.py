"""The heading of a take: the tune, how it was timed, when and on what it was played."""

from __future__ import annotations

import hashlib
import json
import math
from dataclasses import dataclass, replace
from datetime import datetime
from types import MappingProxyType
from typing import Any

from companion.files.kept_json import LONGEST_TEXT, Table, Unfit, parse_table
from companion.files.lines import one_line
from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.midi.maps.map_text import Map, map_from_table, map_to_data
from companion.midi.takes.standard_file import LONGEST_S, LONGEST_TEMPO_US, MICROSECONDS
from companion.schedule.pace import BarPace, followed, tempo_of
from companion.schedule.stretch import Stretch
from companion.schedule.timing import (
    BEATS_PER_MINUTE_RANGE,
    GRACENOTE_RANGE_S,
    LONGEST_LEAD_S,
    SLOWEST,
    Gracing,
    Placement,
    Timing,
)
from companion.score.model import Tune
from companion.score.performance import performance
from fingering.embellishments import Family
from fingering.errors import UserError

FORMAT = "eightholes take 1"
LARGEST_BYTES = 250_000
"""More than any heading holds: five texts of LONGEST_TEXT letters, each twelve bytes at worst, and the rest."""

_MOST_NOTES = 10_000_000
"""More than any tune has; who lays a take beside its tune sees whether that one has so many."""

CROTCHET = 0.25  # of a whole note
LONGEST_TOLD_S = LONGEST_TEMPO_US / MICROSECONDS
"""The longest crotchet that a file's tempo can tell. Takes that were written before headings told longer ones have this
for all of those."""

_LONGEST_CROTCHET_S = 1e6
"""More than any: 614,400 s is written where a tune goes from the fastest Q: field that is read to the slowest, and is
played at the lowest tempo and the largest slow-down."""

DEFAULT_CROTCHET_S = 0.5  # where there is no tune: 120 a minute, the Standard MIDI File's own default


@dataclass(frozen=True, slots=True)
class TuneIdentity:
    """Which tune: its title, its file and X: reference, and a hash of its notes and their order."""

    title: str
    file: str
    reference: str
    content: str

    @classmethod
    def of(cls, tune: Tune) -> TuneIdentity:
        """The identity of a tune; what is longer than a heading can keep is cut."""
        title, file, reference = (text[:LONGEST_TEXT] for text in (tune.title, tune.place.source, tune.reference))
        return cls(title, file, reference, content_hash(tune))


def content_hash(tune: Tune) -> str:
    """SHA-256, in hex, of what is played: notes, lengths, gracenotes, metres, order. Titles and layout do not count."""
    lines = [f"order {' '.join(map(str, tune.order))}"]
    for bar in tune.bars:
        lines.append(f"bar {bar.meter.text} {bar.length}")
        for note in bar.notes:
            graces = " ".join(
                f"{grace.letter}{length}"
                for grace, length in zip(note.gracenotes, note.lengths_of_gracenotes(), strict=True)
            )
            lines.append(f"note {note.note.letter if note.note is not None else 'z'} {note.duration} {{{graces}}}")
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Heading:
    """Everything about a take but the playing.

    began: when, with its time zone. tune and timing: what was asked; None in free play. stretch: what of the tune, None
    for all of it. tune_starts_s: from the beginning of the take to the beat of the first melody
    note. crotchet_s: the length of a crotchet as played, slow-down included. metronome: whether one ran with the tune.
    counted_s: how long from the beginning the tune was counted in, 0 where it was not. held: whether something sounded
    already as the take began. source: the port's name, or what else was played on. known: the map in use; None where it
    is to be inferred. learner: who of a class played it, by the name that the teacher gave; "" outside of a class.
    sound_starts_s: where in the sound that is kept beside the take (`sound_beside`) the take begins, below 0 where that
    sound begins later; None where there is no sound.
    """

    began: datetime
    source: str
    known: Map | None = None
    tune: TuneIdentity | None = None
    timing: Timing | None = None
    stretch: Stretch | None = None
    tune_starts_s: float = 0.0
    crotchet_s: float = DEFAULT_CROTCHET_S
    metronome: bool = False
    counted_s: float = 0.0
    held: bool = False
    learner: str = ""
    sound_starts_s: float | None = None

    @property
    def shown_title(self) -> str:
        """The tune's title, or "free play", as one printable line."""
        return one_line(self.tune.title) if self.tune else "free play"

    @property
    def shown_source(self) -> str:
        """What it was played on, as one printable line; in a class by whom."""
        return one_line(f"{self.learner}, {self.source}" if self.learner else self.source)

    def terms_for(self, tune: Tune) -> TakeTerms:
        """How the take asked for its tune. A stretch means nothing in a tune that was changed since.

        Raises UserError for a stretch that is longer than the tune.
        """
        if self.timing is None or self.tune is None:
            return AT_SPEED
        stretch = self.stretch_in(tune) if self.tune.content == content_hash(tune) else None
        terms = TakeTerms.of(tune, self.timing, metronome=self.metronome, stretch=stretch)
        asked_s = _exact_crotchet_s(tune, self.timing)
        if self.crotchet_s == LONGEST_TOLD_S or math.isclose(self.crotchet_s, asked_s, abs_tol=1.0 / MICROSECONDS):
            return terms
        # The tune has another tempo since: the take tells how slowly it ran then.
        slower = self.crotchet_s / _exact_crotchet_s(tune, Timing())
        kept_bpm = followed(tempo_of(tune).beats_per_minute / slower) if self.metronome else None
        return replace(terms, times_slower=slower, metronome_bpm=kept_bpm)

    def stretch_in(self, tune: Tune) -> Stretch | None:
        """The stretch of the tune that was asked for, None for all. Raises UserError for a shorter tune."""
        notes = len(performance(tune))
        if self.stretch and self.stretch.stop > notes:
            what = f"this take tells of note {self.stretch.stop} of a tune that has {notes}"
            raise UserError(what, "it is spoilt, or was made by another version of the program")
        return self.stretch


def crotchet_s(tune: Tune, timing: Timing) -> float:
    """Seconds that a crotchet of the tune's first bar lasts as played, rounded to the microsecond of a MIDI file."""
    return round(_exact_crotchet_s(tune, timing), 6)


def _exact_crotchet_s(tune: Tune, timing: Timing) -> float:
    return BarPace(tune, timing).seconds_per_whole(tune.bars[0]) * timing.slow_down * CROTCHET


def heading_to_text(heading: Heading) -> str:
    """The heading as one line of ASCII text; crotchet_s is in it only where the file's tempo cannot tell it, counted_s
    only where the tune was counted in, the learner only in a class, sound_starts_s only where a sound is kept."""
    tune = heading.tune
    longer = {"crotchet_s": heading.crotchet_s} if heading.crotchet_s > LONGEST_TOLD_S else {}
    counted = {"counted_s": heading.counted_s} if heading.counted_s else {}
    held = {"held": True} if heading.held else {}
    learner = {"learner": heading.learner[:LONGEST_TEXT]} if heading.learner else {}
    sound = {} if heading.sound_starts_s is None else {"sound_starts_s": heading.sound_starts_s}
    return json.dumps(
        {
            "format": FORMAT,
            "began": heading.began.isoformat(),
            "source": heading.source[:LONGEST_TEXT],
            "map": map_to_data(heading.known),
            "tune": tune
            and {"title": tune.title, "file": tune.file, "reference": tune.reference, "content": tune.content},
            "timing": heading.timing and _timing_to_data(heading.timing),
            "stretch": heading.stretch and _stretch_to_data(heading.stretch),
            "tune_starts_s": heading.tune_starts_s,
            "metronome": heading.metronome,
            **longer,
            **counted,
            **held,
            **learner,
            **sound,
        }
    )


def heading_from_text(text: bytes, *, tempo_s: float) -> Heading:
    """Read what `heading_to_text` made; `tempo_s` is a crotchet's length by the file's tempo.

    Raises Unfit or UserError for any other text.
    """
    data = parse_table(text, LARGEST_BYTES)
    data.one_of("format", {FORMAT: FORMAT})
    return Heading(
        began=data.moment("began"),
        source=data.text("source"),
        known=map_from_table(data, "map"),
        tune=_tune_from_table(data.table("tune")) if data.has("tune") else None,
        timing=_timing_from_table(data.table("timing")) if data.has("timing") else None,
        stretch=_stretch_from_table(data.table("stretch")) if data.has("stretch") else None,
        tune_starts_s=data.number("tune_starts_s", -LONGEST_S, LONGEST_S),
        crotchet_s=data.number("crotchet_s", LONGEST_TOLD_S, _LONGEST_CROTCHET_S)
        if data.has("crotchet_s")
        else tempo_s,
        counted_s=data.number("counted_s", 0.0, LONGEST_S) if data.has("counted_s") else 0.0,
        held=data.has("held") and data.flag("held"),
        learner=data.text("learner") if data.has("learner") else "",
        sound_starts_s=data.number("sound_starts_s", -LONGEST_S, LONGEST_S) if data.has("sound_starts_s") else None,
        metronome=data.has("metronome") and data.flag("metronome"),  # takes of before it was kept do not tell
    )


def _tune_from_table(data: Table) -> TuneIdentity:
    return TuneIdentity(data.text("title"), data.text("file"), data.text("reference"), data.text("content"))


def _stretch_to_data(stretch: Stretch) -> dict[str, Any]:
    return {"notes": [stretch.first, stretch.stop], "led_onto": stretch.led_onto}


def _stretch_from_table(data: Table) -> Stretch:
    first, stop = data.wholes("notes", 2, 0, _MOST_NOTES)
    if first >= stop:
        raise Unfit("'stretch' does not go forward")
    return Stretch(first, stop, data.flag("led_onto"))


def _timing_to_data(timing: Timing) -> dict[str, Any]:
    return {
        "beats_per_minute": timing.beats_per_minute,
        "slow_down": timing.slow_down,
        "gracing": timing.gracing.value,
        "placements": {family.value: placement.value for family, placement in timing.placements.items()},
        "gracenote_s": timing.gracenote_s,
        "max_share": timing.max_share,
        "lead_s": timing.lead_s,
    }


def _timing_from_table(data: Table) -> Timing:
    placements = data.table("placements")
    families = {family.value: family for family in Family}
    places = {place.value: place for place in Placement}
    strange = set(placements.keys) - set(families)
    if strange:
        raise Unfit("'placements' names a family that is none")
    told = {families[name]: placements.one_of(name, places) for name in placements.keys}
    return Timing(
        beats_per_minute=data.number("beats_per_minute", *BEATS_PER_MINUTE_RANGE)
        if data.has("beats_per_minute")
        else None,
        slow_down=data.number("slow_down", 1.0, SLOWEST),
        gracing=data.one_of("gracing", {gracing.value: gracing for gracing in Gracing}),
        placements=MappingProxyType({**Timing().placements, **told}),  # a take may be older than a family
        gracenote_s=data.number("gracenote_s", *GRACENOTE_RANGE_S),
        max_share=data.number("max_share", 0.0, 1.0),
        lead_s=data.number("lead_s", 0.0, LONGEST_LEAD_S),
    )

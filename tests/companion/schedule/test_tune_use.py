"""How often tunes ask the fingers to go from one note to another."""

from __future__ import annotations

from itertools import permutations

from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.schedule.tune_use import TuneUse, count_use, drill_first, use_in_our_tunes
from companion.score.bundled import bundled_files, real_tunes
from fingering.crossings.hardness import hardness
from fingering.crossings.transition import Transition
from fingering.notes import Note
from tests.companion.tune_building import notes, tune


def use_of(*texts: str) -> TuneUse:
    """The count over tunes of one bar each."""
    return count_use(build_schedule(tune(notes(text)), Timing()) for text in texts)


def test_each_change_of_note_is_counted_in_its_tune() -> None:
    """Twice in one tune and once in another is three times, in two tunes."""
    use = use_of("d e d e", "d e", "A B")
    assert (use.times[Note.D, Note.E], use.tunes[Note.D, Note.E], use.tune_count) == (3, 2, 3)
    assert (Note.E, Note.C) not in use.times


def test_a_gracenote_on_the_note_that_comes_changes_nothing() -> None:
    """From D to a G gracenote on B the same fingers go, with one lifted on top."""
    assert use_of("d g:B").times[Note.D, Note.B] == 1


def test_a_grip_on_the_way_is_another_movement() -> None:
    """D over a grip to A: down to low G first, out of which no melody note is gone to straight."""
    use = use_of("d GdG:A")
    assert (Note.D, Note.LOW_A) not in use.times
    assert use.times[Note.D, Note.LOW_G] == 1


def test_rests_and_equal_notes_are_no_changes() -> None:
    """Nothing crosses there."""
    assert dict(use_of("A A z e").times) == {}


def test_our_tunes_are_read_from_their_files_without_the_drills() -> None:
    """Each file but that one; the count is kept."""
    use = use_in_our_tunes()
    assert use.tune_count == len(list(real_tunes())) >= len(bundled_files()) - 1
    assert use is use_in_our_tunes()
    assert all(1 <= use.tunes[pair] <= use.tune_count and use.times[pair] >= use.tunes[pair] for pair in use.times)
    assert all(note.place.source.endswith(".abc") and "drills" not in note.place.source for note in real_tunes())


def test_the_use_in_words() -> None:
    """Once, twice, several times, never; nothing where there are no tunes."""
    use = use_of("d e d e d", "c B")
    assert use.words((Note.D, Note.E)) == "our tunes ask for it twice, in 1 of 2"
    assert use.words((Note.C, Note.B)) == "our tunes ask for it once, in 1 of 2"
    assert use.words((Note.F, Note.B)) == "our tunes never ask for it"
    assert count_use(()).words((Note.F, Note.B)) == ""


def test_what_to_drill_first_is_hard_and_then_often() -> None:
    """By level, the hardest first; within a level by how often tunes ask."""
    hard = {pair: hardness(Transition.between(*pair)) for pair in permutations(Note, 2)}
    use = use_in_our_tunes()
    ranked = drill_first(hard, use)
    assert sorted(ranked) == sorted(hard)
    keys = [(-hard[pair].level, -use.times.get(pair, 0)) for pair in ranked]
    assert keys == sorted(keys)
    assert use.times[ranked[0]] > 40

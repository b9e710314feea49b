"""What extra notes are taken for, and which fingers a crossing noise is laid on."""

from __future__ import annotations

import pytest

from companion.listen.find.extra.neighbour import Neighbour
from companion.listen.find.extra.slip_findings import slip_finding
from companion.listen.find.extra.slips import CrossingHeard, ExtraHeard, slips_of
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.played import Fingered, Played
from companion.listen.model.segments import Segment
from companion.listen.model.strictness import Strictness
from fingering.chart import chart
from fingering.crossings.blame import Explanation, Slip
from fingering.crossings.passing import Sort
from fingering.holes import Finger, HoleState
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, fingered, heard, index_of, kinds, played_as, with_note

HIGH_A_TO_E = asked_of("c2d2e2d2|c2a2e2d2|c2d2e2f2|e4d4|")
D_TO_E = asked_of("A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|")
E = chart(Note.E)


def closing(*fingers: Finger) -> HoleState:
    """E with these fingers down as well."""
    return HoleState(E | HoleState.of_closed(fingers))


def high_a_to_e(ring_ms: float, thumb_ms: float) -> list[Played]:
    """High A to E: the thumb still open until so long before E, then the upper ring finger still down so long."""
    take = fingered(played_as(HIGH_A_TO_E))
    rank = index_of(HIGH_A_TO_E, 6)
    at_s = take[rank].at_s
    thumb_open = HoleState(closing(Finger.UPPER_RING) ^ HoleState.of_closed([Finger.THUMB]))
    noise: list[Played] = [
        Fingered(at_s - (ring_ms + thumb_ms) / 1000.0, thumb_open),
        Fingered(at_s - ring_ms / 1000.0, closing(Finger.UPPER_RING)),
    ]
    return [*take[:rank], *noise, *take[rank:]]


def d_to_e(little_ms: float) -> list[Played]:
    """D to E, the upper ring finger 40 ms late, and the lower little finger up so long after E has begun to sound."""
    take = fingered(played_as(D_TO_E))
    rank = index_of(D_TO_E, 4)
    at_s = take[rank].at_s
    moved: list[Played] = [
        Fingered(at_s - 0.04, closing(Finger.UPPER_RING, Finger.LOWER_LITTLE)),
        Fingered(at_s, closing(Finger.LOWER_LITTLE)),
        Fingered(at_s + little_ms / 1000.0, E),
    ]
    return [*take[:rank], *moved, *take[rank + 1 :]]


def noise(*notes_s: tuple[Note, float]) -> list[Finding]:
    """What is said of such notes in a row between D and E."""
    take = played_as(D_TO_E)
    at_s = take[index_of(D_TO_E, 4)].at_s - sum(lasts_s for _, lasts_s in notes_s)
    for note, lasts_s in notes_s:
        take = with_note(take, at_s, note, lasts_s)
        at_s += lasts_s
    return heard(D_TO_E, take)


@pytest.mark.parametrize(
    ("lasts_s", "kind"), [(0.12, FindingKind.CROSSING), (0.13, FindingKind.EXTRA_NOTE), (0.3, FindingKind.EXTRA_NOTE)]
)
def test_fingers_more_than_an_eighth_of_a_second_apart_make_no_crossing(lasts_s: float, kind: FindingKind) -> None:
    """Low A between D and E, where the lower hand may close first (a choice, no source)."""
    assert kinds(noise((Note.LOW_A, lasts_s))) == [kind]


@pytest.mark.parametrize(("lasts_s", "kind"), [(0.098, FindingKind.EXTRA_GRACENOTE), (0.102, FindingKind.EXTRA_NOTE)])
def test_an_extra_note_from_a_tenth_of_a_second_on_is_one_of_melody(lasts_s: float, kind: FindingKind) -> None:
    """High G within E, which no crossing explains; a shorter one is a gracenote (a choice, no source)."""
    take = played_as(D_TO_E)
    take = with_note(take, take[index_of(D_TO_E, 4)].at_s + 0.4, Note.HIGH_G, lasts_s)
    (found,) = heard(D_TO_E, take)
    assert found.kind is kind
    # The fingers that lead from E to high G; those of a gracenote of one's own are nobody's business.
    is_note = kind is FindingKind.EXTRA_NOTE
    assert found.fingers == ((Finger.UPPER_INDEX, Finger.UPPER_MIDDLE) if is_note else ())


def test_more_than_three_notes_are_no_one_crossing() -> None:
    """Closing one by one, the lower hand sounds C, B and low A between D and E; a fourth note is one too many."""
    three = [(Note.C, 0.02), (Note.B, 0.02), (Note.LOW_A, 0.02)]
    assert kinds(noise(*three)) == [FindingKind.CROSSING]
    four = kinds(noise(*three, (Note.LOW_G, 0.02)))
    assert len(four) == 4


def in_a_row(*notes: Note) -> list[type]:
    """What such notes of 20 ms each are taken for between high G and D."""
    extras = [Segment(rank, note, 1.0 + 0.02 * rank, end_s=1.02 + 0.02 * rank) for rank, note in enumerate(notes)]
    before = Neighbour(Note.HIGH_G, Segment(0, Note.HIGH_G, 0.0, end_s=1.0), chart(Note.HIGH_G))
    after = Neighbour(Note.D, Segment(9, Note.D, extras[-1].end_s or 0.0, end_s=3.0), chart(Note.D))
    return [type(each) for each in slips_of(Strictness.USUAL.limits, extras, before=before, after=after)]


def test_four_notes_that_fingers_could_sound_on_their_way_are_four_notes_all_the_same() -> None:
    """Three are one crossing (a choice, no source)."""
    assert in_a_row(Note.F, Note.E, Note.B) == [CrossingHeard]
    assert in_a_row(Note.F, Note.E, Note.B, Note.C) == [ExtraHeard] * 4


def test_of_notes_that_make_no_one_crossing_each_is_taken_by_itself() -> None:
    """High A lies on no way from high G to D: F before it crosses from high G, it crosses to D from its own fingers."""
    assert in_a_row(Note.F, Note.HIGH_A) == [CrossingHeard] * 2


@pytest.mark.parametrize(("certainty", "word"), [(0.79, "probably the upper"), (0.8, "low A the upper")])
def test_a_finger_known_with_less_than_four_fifths_of_certainty_is_the_likely_one(certainty: float, word: str) -> None:
    """Said of high A to low A (a choice, no source)."""
    one, other = (Neighbour(note, Segment(0, note, 1.0, end_s=2.0), chart(note)) for note in (Note.HIGH_A, Note.LOW_A))
    explanation = Explanation((Slip(Finger.UPPER_RING, 30.0),), Sort.LIFT_DROP, certainty)
    crossing = CrossingHeard(one, other, (Segment(1, Note.E, 2.0, end_s=2.03),), explanation)
    found = slip_finding(D_TO_E, Strictness.USUAL.limits, crossing, 4)
    assert f"{word} ring finger was 30 ms late; E was heard." in found.text


@pytest.mark.parametrize(("ms", "words"), [(30.0, "was 30 ms late"), (-30.0, "was 30 ms early")])
def test_a_finger_is_late_or_early(ms: float, words: str) -> None:
    """By how much is told without a sign."""
    one, other = (Neighbour(note, Segment(0, note, 1.0, end_s=2.0), chart(note)) for note in (Note.D, Note.E))
    explanation = Explanation((Slip(Finger.UPPER_RING, ms),), Sort.LIFT_DROP, 1.0)
    extras = (Segment(1, Note.LOW_A, 2.0, end_s=2.03), Segment(2, Note.LOW_G, 2.03, end_s=2.05))
    found = slip_finding(D_TO_E, Strictness.USUAL.limits, CrossingHeard(one, other, extras, explanation), 4)
    assert f"{words}; low A and low G were heard." in found.text
    assert found.ms == pytest.approx(50.0)
    assert (found.at_s, found.heard, found.asked) == (2.0, "AG", "e")


@pytest.mark.parametrize(("thumb_ms", "is_guilty"), [(12.0, False), (34.0, False), (38.0, True)])
def test_a_finger_off_by_half_of_what_the_guiltiest_is_shares_the_blame(thumb_ms: float, is_guilty: bool) -> None:
    """The upper ring finger is off by 36 ms more than the thumb is: half lies at 36 ms (a choice, no source)."""
    (found,) = heard(HIGH_A_TO_E, high_a_to_e(36.0, thumb_ms))
    assert found.fingers == ((Finger.UPPER_RING, Finger.THUMB) if is_guilty else (Finger.UPPER_RING,))


@pytest.mark.parametrize(("little_ms", "is_guilty"), [(75.0, True), (85.0, False), (250.0, False)])
def test_a_finger_on_its_way_80_ms_into_a_note_belongs_to_the_crossing(little_ms: float, is_guilty: bool) -> None:
    """One that moves later, under a note that sounds already, made no noise of the crossing (a choice, no source)."""
    (found,) = heard(D_TO_E, d_to_e(little_ms))
    assert found.fingers == ((Finger.UPPER_RING, Finger.LOWER_LITTLE) if is_guilty else (Finger.UPPER_RING,))


@pytest.mark.parametrize(("little_ms", "is_guilty"), [(20.0, True), (75.0, True), (85.0, False), (200.0, False)])
def test_a_finger_that_moved_80_ms_before_a_note_ended_belongs_to_the_crossing(
    little_ms: float, is_guilty: bool
) -> None:
    """The lower little finger leaves D, which sounds on, so long before the noise; earlier it was how D was held."""
    take = fingered(played_as(D_TO_E))
    rank = index_of(D_TO_E, 4)
    at_s = take[rank].at_s
    moved: list[Played] = [
        Fingered(
            at_s - 0.04 - little_ms / 1000.0, HoleState(chart(Note.D) ^ HoleState.of_closed([Finger.LOWER_LITTLE]))
        ),
        Fingered(at_s - 0.04, closing(Finger.UPPER_RING)),
    ]
    (found,) = heard(D_TO_E, [*take[:rank], *moved, *take[rank:]])
    assert found.fingers == ((Finger.UPPER_RING, Finger.LOWER_LITTLE) if is_guilty else (Finger.UPPER_RING,))

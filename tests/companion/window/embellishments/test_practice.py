"""One embellishment alone, in a window that is driven by its keys: opened, watched, chosen anew, heard, left."""

from __future__ import annotations

from pathlib import Path

import pygame
import pytest

from companion.midi.maps.keys import KeyLayout, UpperHand
from companion.midi.maps.touch import Touch
from companion.midi.takes.reading import list_takes
from companion.window.core.actions import Action, Pick
from companion.window.embellishments.catalogue_screen import CatalogueScreen
from fingering.holes import Finger
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.embellishments.practising import Learner

pytestmark = pytest.mark.same_everywhere

N, J = ord("n"), ord("j")


def opened(learner: Learner, search: str = "taorluath low a") -> None:
    """Open one by the keys."""
    learner.press(J, "j")
    learner.type(search)
    learner.press(pygame.K_RETURN)


def test_from_nothing_to_a_taorluath_at_a_quarter_speed_in_three_actions(learner: Learner) -> None:
    """The list is opened, the name typed, Enter pressed: it runs, four times slower, round and round."""
    learner.press(J, "j")
    learner.type("taor")
    learner.press(pygame.K_RETURN)
    state = learner.practice.stage.state
    assert learner.practice.subject.embellishment.name == "taorluath"
    assert state.timing.slow_down == 4.0
    assert state.playing
    assert state.span is not None
    began_s = learner.practice.stage.position_s()
    learner.wait(1.0)
    assert learner.practice.stage.position_s() == pytest.approx(began_s + 1.0)
    learner.wait(state.schedule.duration_s)
    assert learner.practice.stage.position_s() == pytest.approx(began_s + 1.0)


def test_its_name_and_how_it_is_played_are_read(learner: Learner) -> None:
    """And the notes that it goes through, one by one."""
    opened(learner)
    words = learner.words()
    assert "taorluath on low A" in words
    assert "A grip, then an E gracenote that opens onto the note" in words
    assert "C low G D low G E low A" in words


def test_it_is_slowed_down_and_stepped_through(learner: Learner) -> None:
    """By the keys of the playing screen."""
    opened(learner)
    learner.press(pygame.K_MINUS, "-")
    assert learner.practice.stage.state.timing.slow_down == 6.0
    learner.press(pygame.K_RIGHT)
    assert not learner.practice.stage.state.playing
    before_s = learner.practice.stage.position_s()
    learner.press(pygame.K_RIGHT)
    assert learner.practice.stage.position_s() > before_s


def test_it_comes_from_and_leads_onto_other_notes(learner: Learner) -> None:
    """1 and 2 go through those for which it exists; from D a taorluath takes the form for D."""
    opened(learner)
    learner.press(ord("1"), "1")
    assert learner.practice.subject.before is Note.D
    assert learner.practice.subject.embellishment.spelling == "GBGe"
    learner.press(ord("2"), "2")
    assert learner.practice.subject.embellishment.onto is Note.B
    learner.frame()
    assert "to B" in learner.words()
    seen = set()
    for _ in Note:
        seen.add(learner.practice.subject.embellishment.onto)
        learner.press(ord("2"), "2")
    assert seen == set(Note) - {Note.E}


def test_another_is_chosen_from_the_list_over_it(learner: Learner) -> None:
    """J shows all of them; the one that is chosen takes its place, and Esc changes nothing."""
    opened(learner)
    learner.press(J, "j")
    assert isinstance(learner.shell.top, CatalogueScreen)
    learner.type("birl")
    learner.press(pygame.K_RETURN)
    assert learner.practice.subject.embellishment.name == "birl"
    learner.press(J, "j")
    learner.press(pygame.K_ESCAPE)
    assert learner.practice.subject.embellishment.name == "birl"


def test_closing_comes_back_to_the_list_as_it_was(learner: Learner) -> None:
    """With its search, which Esc clears; then to the tune."""
    opened(learner, "birl")
    learner.press(pygame.K_ESCAPE)
    assert learner.catalogue.state.search == "birl"
    learner.press(pygame.K_ESCAPE)
    learner.press(pygame.K_ESCAPE)
    assert learner.shell.top is learner.screen


@pytest.mark.parametrize("playing", [True, False])
@pytest.mark.parametrize("key", ["n", "j"])
def test_leaving_comes_back_to_the_very_place(learner: Learner, key: str, playing: bool) -> None:
    """The tune stands where it stood, and runs again only if it ran."""
    if playing:
        learner.press(pygame.K_SPACE)
    learner.wait(3.0)
    stood_s = learner.screen.position_s()
    learner.press(ord(key), key)
    learner.wait(2.0)
    if key == "j":
        learner.press(pygame.K_RETURN)
        learner.wait(2.0)
        learner.press(pygame.K_ESCAPE)
    learner.press(pygame.K_ESCAPE)
    assert learner.shell.top is learner.screen
    assert learner.screen.state.playing is playing
    assert learner.screen.position_s() == pytest.approx(stood_s)
    learner.wait(1.0)
    assert learner.screen.position_s() == pytest.approx(stood_s + (1.0 if playing else 0.0))


def test_n_opens_the_one_at_the_playhead_with_its_own_neighbours(learner: Learner) -> None:
    """The E doubling after the pick-up's low A."""
    learner.screen.act(Action.START)
    learner.press(N, "n")
    subject = learner.practice.subject
    assert (subject.embellishment.full_name, subject.before) == ("E doubling", Note.LOW_A)


def test_settings_of_sound_and_ear_go_back_with_the_learner(learner: Learner) -> None:
    """What was set there holds in the tune as well; its slow-down is its own."""
    opened(learner)
    learner.practice.act(Action.DRONES)
    learner.practice.act(Action.STRICTNESS)
    there = learner.practice.stage.state
    learner.press(pygame.K_ESCAPE)
    learner.press(pygame.K_ESCAPE)
    learner.press(pygame.K_ESCAPE)
    here = learner.screen.state
    assert (here.sound, here.ear) == (there.sound, there.ear)
    assert here.timing.slow_down == 1.0


def test_no_row_of_another_list_is_chosen_there(learner: Learner) -> None:
    """A rank means nothing here, nor do the tune's phrases."""
    opened(learner)
    tune = learner.practice.stage.state.tune
    for intent in (Pick(0), Action.PHRASE_ON, Action.TUNES):
        learner.practice.act(intent)
    assert learner.practice.stage.state.tune is tune
    assert learner.practice.stage.state.span is not None


def at_speed(learner: Learner) -> None:
    """The taorluath at full speed, an instrument in the hand."""
    opened(learner)
    learner.take_up()
    while learner.practice.stage.state.timing.slow_down > 1.0:
        learner.press(pygame.K_PLUS, "+")
    learner.practice.act(Action.START)
    learner.frame()


def test_it_is_played_back_and_heard_time_after_time(learner: Learner) -> None:
    """Twice in each round: four even, then the finger of its E gracenote is late twice."""
    at_speed(learner)
    assert "Play along" in learner.words()
    learner.rounds({}, {})
    assert "All of the last four were even." in learner.words()
    learner.rounds({Finger.UPPER_RING: 0.12})
    assert "Four of the last six were even. The upper ring finger was late twice." in learner.words()
    for _ in range(2):
        learner.rounds({}, {})
    assert "Eight of the last ten were even." in learner.words()


def test_a_round_in_which_nothing_is_played_is_no_attempt(learner: Learner) -> None:
    """Who only listens is told nothing."""
    at_speed(learner)
    learner.wait(2 * learner.practice.stage.state.schedule.duration_s)
    assert "Play along" in learner.words()


def test_another_embellishment_is_counted_from_nothing(learner: Learner) -> None:
    """What was heard of one says nothing of the other; a change of speed keeps it."""
    at_speed(learner)
    learner.rounds({})
    learner.press(pygame.K_MINUS, "-")
    assert "Both were even." in learner.words()
    learner.press(ord("1"), "1")
    assert "Play along" in learner.words()


def test_it_is_heard_at_a_quarter_speed_too(learner: Learner) -> None:
    """As it opens, gracenotes four times longer."""
    opened(learner)
    learner.take_up()
    learner.rounds({})
    assert "Both were even." in learner.words()


def test_no_take_is_kept_of_each_time_round(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A folder full of them would help nobody."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    learner = Learner(tmp_path)
    at_speed(learner)
    learner.rounds({}, {})
    learner.shell.close()
    assert list_takes(tmp_path).takes == ()


def test_the_computers_keys_play_there_too(learner: Learner) -> None:
    """All eight down is low G, and without the little finger's low A (the chart); the list's letters stay letters."""
    opened(learner)
    learner.practice.act(Action.PLAY_KEYS)
    keys = KeyLayout.for_upper_hand(UpperHand.LEFT).scancodes
    for scancode in keys:
        learner.move_key(scancode, down=True)
    assert learner.shown_note() is Note.LOW_G
    learner.move_key(keys[Finger.LOWER_LITTLE], down=False)
    assert learner.shown_note() is Note.LOW_A
    learner.press(J, "j")
    for scancode in keys:
        learner.move_key(scancode, down=True, typed="s")
    assert learner.catalogue.state.search == "s" * len(keys)


def test_what_the_computers_keys_play_is_heard(learner: Learner) -> None:
    """The same judge, whatever it is played on."""
    opened(learner)
    while learner.practice.stage.state.timing.slow_down > 1.0:
        learner.press(pygame.K_PLUS, "+")
    learner.practice.act(Action.PLAY_KEYS)
    learner.practice.act(Action.START)
    learner.frame()
    learner.round_on_keys()
    assert "Both were even." in learner.words()


def test_the_keys_go_on_playing_in_the_tune(learner: Learner) -> None:
    """What was chosen to be played on there is played on here."""
    opened(learner)
    learner.practice.act(Action.PLAY_KEYS)
    while learner.shell.top is not learner.screen:
        learner.press(pygame.K_ESCAPE)
    assert learner.screen.state.touch is Touch.CLOSED
    assert learner.live.choice.keys is not None


def test_a_tune_without_gracenotes_says_so(learner: Learner) -> None:
    """And opens nothing."""
    plain = scenes.tune("X:1\nT:Plain\nM:4/4\nL:1/4\nK:HP\nABcd|]\n")
    learner.screen.exchange(learner.screen.state.tune, plain)
    learner.press(N, "n")
    learner.frame()
    assert learner.shell.top is learner.screen
    assert "no gracenotes" in learner.words()

"""`eightholes judge`: compares takes with a tune and says what a good teacher would say."""

from __future__ import annotations

import argparse
import enum
import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from functools import partial
from pathlib import Path

from companion.commands.shared.numbers import finite, whole
from companion.commands.shared.options import add_tune_options, tune_from
from companion.commands.shared.outputs import add_force_option, check_output_of
from companion.commands.shared.processes import in_processes
from companion.commands.shared.progress import Progress
from companion.commands.takes.opening import heard_with_progress
from companion.files.lines import one_line
from companion.files.writing import write_whole
from companion.hearing.takes.endings import is_recording
from companion.hearing.takes.sound_take import SoundTake, judge_sound_take, recorded_take
from companion.listen.judgement import Judgement, judge, judgement_to_data, setting_heard
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.listen.report.class_table import Result, table_text
from companion.listen.report.page_style import Palette
from companion.listen.report.text import verdict_text
from companion.listen.take.credible import UnlikeTune
from companion.midi.takes.hearing import HeardTake, hear_take
from companion.midi.takes.own_settings import OwnSettings
from companion.midi.takes.reading import read_take
from companion.schedule.timing import BEATS_PER_MINUTE_RANGE, Timing
from companion.score.model import Tune
from companion.score.setting import Setting, with_further
from companion.window.core.marks import Role
from companion.window.core.theme import PAPER
from fingering.errors import UserError

_STATUS = (
    "Exit status: 0 if a take was judged, also where others of several were not (the table says why); 2 if none was."
)


class SettingChoice(enum.Enum):
    """In which setting of the tune takes are judged: the one that is KEPT, what the take shows as MINE, as WRITTEN."""

    KEPT = "kept"
    MINE = "mine"
    WRITTEN = "written"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    parser.epilog = _STATUS
    add_tune_options(parser)
    low, high = BEATS_PER_MINUTE_RANGE
    parser.add_argument(
        "takes",
        metavar="TAKE",
        nargs="+",
        help="takes of ours, any Standard MIDI Files, or recordings (WAV, MP3, M4A, ...)",
    )
    parser.add_argument(
        "--strict",
        choices=[each.value for each in Strictness],
        default=Strictness.USUAL.value,
        help="how strict a teacher (default: usual)",
    )
    parser.add_argument(
        "--low-a",
        metavar="N",
        type=whole,
        help="the MIDI note of low A (default: the take's own, else 69); where there is sound, that tells it",
    )
    parser.add_argument(
        "--tempo",
        metavar="N",
        type=finite,
        help=f"a metronome kept N beats a minute, {low:g} to {high:g} (default: the take's own metronome, if it had"
        " one, else the learner's pulse)",
    )
    parser.add_argument(
        "--setting",
        choices=[each.value for each in SettingChoice],
        default=SettingChoice.KEPT.value,
        help="kept: in the setting of the tune that you said is yours (default); mine: say that what one take plays"
        " otherwise in each like place is your setting, and keep it for this tune; written: take that back",
    )
    parser.add_argument("--json", action="store_true", help="print JSON: tempo, findings, summary")
    parser.add_argument(
        "--html", metavar="FILE", type=Path, help="write a page for a teacher: no scripts, opens anywhere"
    )
    add_force_option(parser)


def run(options: argparse.Namespace) -> int:
    """Judge the takes asked for. Raises UserError when none of them could be judged."""
    if options.html:
        check_output_of(options, options.html, tune=options.file, others=options.takes)
    tune = tune_from(options)
    Timing(beats_per_minute=options.tempo)  # a tempo out of reach is no fault of the takes
    results = _in_setting(options, tune, SettingChoice(options.setting))
    if all(each.judgement is None for each in results):
        raise _none_judged(results)
    if options.html:
        _write_page(options.html, results, force=options.force)
    print(_as_json(results) if options.json else _as_text(results))
    return 0


def _in_setting(options: argparse.Namespace, tune: Tune, choice: SettingChoice) -> list[Result]:
    """Judge the takes in the setting that was chosen, and keep it. Raises UserError for MINE with several takes."""
    if choice is SettingChoice.MINE and len(options.takes) > 1:
        raise UserError("your setting is heard in one take", "give one take with --setting mine")
    own = OwnSettings.at_home()
    if choice is SettingChoice.WRITTEN and own.of(tune):
        own.change(tune, ())
    results = list(_judge_all(options, tune, own.of(tune)))
    if choice is SettingChoice.MINE and (heard := results[0].judgement) and (mine := setting_heard(heard)):
        own.change(tune, with_further(own.of(tune), mine))
        results = list(_judge_all(options, tune, own.of(tune)))
    if own.trouble:
        print(f"eightholes: {own.trouble}", file=sys.stderr)
    return results


def _none_judged(results: Sequence[Result]) -> UserError:
    """The error where nothing was judged: of one take its own refusal, of several a summary after a line for each."""
    refusals = [each.refusal for each in results if each.refusal is not None]
    if len(refusals) == 1:
        return refusals[0]
    for refusal in refusals:
        print(f"eightholes: {one_line(str(refusal))}", file=sys.stderr)
    return UserError(f"none of these {len(refusals)} takes could be judged", "see the lines above")


def judge_file(
    path: str, tune: Tune, strictness: Strictness, low_a: int | None, tempo: float | None, setting: Setting = ()
) -> Result:
    """Judge one take against `tune`; one that cannot be judged gives a result with the reason.

    low_a: as for `hear_take`. tempo: of a metronome that the file does not tell of, None for none. setting: the
    learner's own.
    """
    try:
        take = None if is_recording(path) else hear_take(path, tune, low_a)
        terms = take.terms if take else AT_SPEED
        terms = terms if tempo is None else replace(terms, metronome_bpm=tempo)
        if sounding := _heard(path, tune):
            judgement = judge_sound_take(tune, sounding, strictness, terms, setting=setting)
        elif take:
            judgement = _judge_notes(tune, take, strictness, terms, setting)
    except UserError as refusal:
        return Result(path, None, UserError(refusal.what, refusal.remedy, refusal.where or path))
    return Result(path, judgement)


def _judge_notes(tune: Tune, take: HeardTake, strictness: Strictness, terms: TakeTerms, setting: Setting) -> Judgement:
    """Judge a take without sound. Raises UserError: of one that is unlike the tune its notes may be named wrongly."""
    try:
        return judge(tune, take.events, strictness, terms, setting=setting)
    except UnlikeTune as refusal:
        if not any(isinstance(each, Sounded) and each.note is not None for each in take.events):
            raise
        remedy = f"{refusal.remedy}, or give --low-a N, the MIDI note of the instrument's low A"
        raise UserError(refusal.what, remedy, refusal.where) from None


def _heard(path: str, tune: Tune) -> SoundTake | None:
    """A recording, or a take that has its sound, as it was heard, in the time of its file; None for a take without.

    What makes it hard to hear is told. Raises UserError.
    """
    take = recorded_take(Path(path), tune) if is_recording(path) else read_take(path)
    heading = replace(take.heading, tune_starts_s=0.0)
    sounding = heard_with_progress(replace(take, heading=heading, end_s=take.end_s + take.heading.tune_starts_s))
    for trouble in sounding.heard.troubles if sounding else ():
        print(f"eightholes: {one_line(path)}: {trouble.value}", file=sys.stderr)
    return sounding


def _judge_all(options: argparse.Namespace, tune: Tune, setting: Setting) -> Iterator[Result]:
    paths: Sequence[str] = options.takes
    work = partial(
        judge_file,
        tune=tune,
        strictness=Strictness(options.strict),
        low_a=options.low_a,
        tempo=options.tempo,
        setting=setting,
    )
    if len(paths) == 1:
        yield work(paths[0])
        return
    progress = Progress("judged", len(paths))
    for each in in_processes(work, paths):
        progress.step()
        yield each
    progress.end()


def _as_json(results: Sequence[Result]) -> str:
    """One take as its JSON object; several as {"takes": [{"take", ...}]}, refused ones with "refused"."""
    if len(results) == 1 and results[0].judgement is not None:
        return json.dumps(judgement_to_data(results[0].judgement), indent=1)
    rows = []
    for each in results:
        data = {"refused": str(each.refusal)} if each.judgement is None else judgement_to_data(each.judgement)
        rows.append({"take": each.name, **data})
    return json.dumps({"takes": rows}, indent=1)


def _as_text(results: Sequence[Result]) -> str:
    alone = results[0].judgement if len(results) == 1 else None
    if alone is not None:
        return verdict_text(alone)
    return table_text([replace(each, name=one_line(each.name)) for each in results])


def _write_page(path: Path, results: Sequence[Result], *, force: bool) -> None:
    from companion.listen.report.page import page_of  # jinja2 takes 0.1 s to load

    named = [replace(each, name=one_line(Path(each.name).name)) for each in results]
    write_whole(path, page_of(named, paper_colours()).encode("utf-8", "backslashreplace"), force=force)


def paper_colours() -> Palette:
    """The colours of the page for a teacher, which are those of the window's paper theme."""
    return Palette(
        **{each.name: "#{:02x}{:02x}{:02x}".format(*PAPER[Role[each.name.upper()]]) for each in fields(Palette)}
    )

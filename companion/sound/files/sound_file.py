"""Writes a tune as a sound file of the kind that its name's ending says."""

from __future__ import annotations

from pathlib import Path

from companion.media.formats import SOUND_FORMATS, ending_unknown, format_of
from companion.sound.files.blocks import ToldShare, rendered_blocks, unheard
from companion.sound.files.wav import write_wav
from companion.sound.renderer import Renderer
from companion.sound.settings import SAMPLE_RATE_HZ

WAV = ".wav"
SOUND_ENDINGS = (WAV, *(each.ending for each in SOUND_FORMATS))


def check_sound_ending(path: Path) -> None:
    """Refuse, before any work, a name whose ending is none of SOUND_ENDINGS. Raises UserError."""
    if path.suffix.lower() not in SOUND_ENDINGS:
        raise ending_unknown(path, "a sound file", SOUND_ENDINGS)


def write_sound(path: Path, renderer: Renderer, progress: ToldShare = unheard, *, force: bool = False) -> None:
    """Render all that is left of a tune into a file, telling `progress` the share done, 0 to 1.

    The ending of `path` says which kind: WAV and FLAC keep every sample, MP3 and Opus in Ogg are small.

    force: whether a file that stands there is written over. Raises UserError for another ending, for sound that is too
    long for a WAV file, and where the file cannot be written.
    """
    check_sound_ending(path)
    kind = format_of(path, SOUND_FORMATS)
    if kind is None:
        write_wav(path, renderer, progress, force=force)
        return
    from companion.media.encoding import sound_file

    with sound_file(path, kind, SAMPLE_RATE_HZ, force=force) as track:
        for block in rendered_blocks(renderer, progress):
            track.add(block)

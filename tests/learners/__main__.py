"""Prints how right the ear is on 200 simulated takes: python3 -m tests.learners [TAKES]."""

from __future__ import annotations

import sys

from tests.learners.measure import Music, clean_findings, measured


def main() -> None:
    """Measure from notes, from hole states, and on faultless takes."""
    takes = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    for music, holes in ((Music.TUNES, False), (Music.TUNES, True), (Music.DRILLS, False)):
        score = measured(takes, music=music, holes=holes)
        told = "hole states" if holes else "notes"
        print(f"{takes} takes of {music.value} told as {told}, {score.notes} melody notes")
        print(score.table())
        fingers = score.fingers
        print(f"finger named right: {fingers['right']} of {sum(fingers.values())}\n")
    findings, notes = clean_findings(takes)
    print(f"{takes} faultless takes: {findings} findings in {notes} notes, one in {notes / max(1, findings):.0f}")


if __name__ == "__main__":
    main()

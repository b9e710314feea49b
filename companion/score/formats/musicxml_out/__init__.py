"""Writes tunes as MusicXML 4.0, plain or compressed."""

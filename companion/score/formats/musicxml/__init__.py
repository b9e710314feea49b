"""Reads MusicXML 3 and 4 by way of MEI, and writes MusicXML 4.0."""

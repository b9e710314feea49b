"""Reads XML that may be anything: packed, broken off, of another encoding, or made to fill the memory."""

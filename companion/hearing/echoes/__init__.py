"""Hearing a chanter through a room's echo: how a room fades, how notes begin in it, where its sound changes."""

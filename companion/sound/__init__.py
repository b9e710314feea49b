"""Voices, the renderer, WAV files and live sound."""

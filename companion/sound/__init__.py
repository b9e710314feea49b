"""Makes the sound: voices, the renderer, WAV files, the player of a tune and the live chanter."""

"""Sound as files: WAV by ourselves, all that is compressed by `companion.media`."""

"""The gracenotes onto a melody note, as they were heard."""

"""What several commands share: options, tune files, takes to hear, progress."""

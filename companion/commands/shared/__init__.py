"""What several commands share: options, tune files, takes to judge, progress lines, worker processes."""

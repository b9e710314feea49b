"""From aligned notes to findings."""

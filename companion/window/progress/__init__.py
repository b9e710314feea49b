"""What has become of a learner's practice, as pictures."""

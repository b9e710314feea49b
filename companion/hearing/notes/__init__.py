"""What each note of a chanter looks like, learnt from where it sounds."""

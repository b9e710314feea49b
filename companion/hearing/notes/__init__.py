"""The look of each note of a chanter, learnt from where it sounds."""

"""The lesson that a learner takes home, as a page."""

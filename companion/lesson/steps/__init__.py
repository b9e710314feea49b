"""Makes the steps of a lesson, moves a learner through them, and keeps them as a teacher orders them."""

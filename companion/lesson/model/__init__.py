"""The data of lessons: phrases and plans, steps, what a learner knows."""

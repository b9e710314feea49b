"""From one tune to a learner who plays it by heart: phrases, the steps of a lesson, and what each learner knows."""

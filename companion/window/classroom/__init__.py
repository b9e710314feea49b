"""The class: what a teacher projects before a roomful of learners, several of whom have electronic chanters."""

"""The file in which a teacher orders, drops, adds and changes the steps of a lesson."""

"""Turns the marks of a picture into pixels: the only code that turns roles into colours."""

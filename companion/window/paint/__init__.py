"""Draws marks on a surface: the only code that turns roles into colours."""

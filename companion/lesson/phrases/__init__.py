"""Finds the phrases of a tune, and what each of them is to those before it."""

from companion.lesson.phrases.plan import plan_of

__all__ = ["plan_of"]

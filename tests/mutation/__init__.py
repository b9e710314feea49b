"""Changes the code a little, one place at a time, and sees whether the tests notice."""

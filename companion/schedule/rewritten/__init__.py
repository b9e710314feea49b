"""A tune that was written anew: which of its bars are other ones now, and where a moment of the old one lies in it."""

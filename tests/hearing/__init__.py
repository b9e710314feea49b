"""Sound whose truth is known, to try with it whatever hears a chanter: it was made without looking at any such code."""

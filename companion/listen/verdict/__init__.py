"""From findings to what a teacher would say: what to mend first, drills, praise."""

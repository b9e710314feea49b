"""Pipe tunes made up at random, for properties and referees."""

from __future__ import annotations

from hypothesis import strategies as st

LETTERS = "GABcdefga"
GRACES = ("", "{g}", "{d}", "{gcd}", "{GdGe}", "{/e}", "{g2 d}", "{GdGeAfA}")

# Ways to fill one or more beats of a quaver, each written for L:1/8; {} is a letter.
ONE_BEAT = ("{}", "{}/{}/", "{}3//{}//", "z", "(3{}/{}/{}/")
TWO_BEATS = ("{}2", "{}>{}", "{}<{}", "{}>>{}", "{}<<{}", "{}3/2{}/", "{}-{}", "(3{}{}{}", "(3{}z{}")
THREE_BEATS = ("{}3", "(2:3:2{}{}", "(4{}{}{}{}", "{}2{}", "{} {}/{}/ {}", "{}>>>{} {}")
METERS = {"2/4": 4, "6/8": 6, "4/4": 8, "3/4": 6, "C|": 8}


@st.composite
def notes(draw: st.DrawFn, pattern: str) -> str:
    """A pattern with letters and gracenotes filled in; both ends of a tie have one letter."""
    tied = "-" in pattern
    letter = draw(st.sampled_from(LETTERS))
    words = []
    for rank, piece in enumerate(pattern.split("{}")):
        if rank:
            graces = "" if tied and rank > 1 else draw(st.sampled_from(GRACES))
            words.append(graces + (letter if tied else draw(st.sampled_from(LETTERS))))
        words.append(piece)
    return "".join(words)


@st.composite
def bars(draw: st.DrawFn, beats: int) -> str:
    """One bar of so many quavers."""
    written = []
    while beats:
        kinds = [patterns for size, patterns in enumerate((ONE_BEAT, TWO_BEATS, THREE_BEATS), 1) if size <= beats]
        size = draw(st.integers(1, len(kinds)))
        written.append(draw(notes(draw(st.sampled_from(kinds[size - 1])))))
        beats -= size
    return " ".join(written)


@st.composite
def sections(draw: st.DrawFn, beats: int, *, opening: bool = False) -> str:
    """A stretch of bars, played once, repeated, or repeated with endings.

    Only the `opening` of a tune is repeated without a ``|:``: elsewhere abc2midi does not go back to the double bar.
    The last ending is closed by ``||``: after a ``:|`` there, abc2midi plays the body once more without any ending.
    """
    body = "|".join(draw(st.lists(bars(beats), min_size=1, max_size=3)))
    kinds = ("plain", "repeat", "two repeats", "two endings", "three endings", "unopened")
    kind = draw(st.sampled_from(kinds[: len(kinds) - (not opening)]))
    if kind == "plain":
        return f"{body}||"
    if kind == "repeat":
        return f"|:{body}:|"
    if kind == "unopened":
        return f"{body}:|"
    first, second = draw(bars(beats)), draw(bars(beats))
    if kind == "two repeats":
        return f"|:{first}::{second}:|"
    if kind == "two endings":
        return f"|:{body}|1 {first}:|2 {second}||"
    return f"|:{body}|[1,2 {first}:|[3 {second}||"


# Keys under which bare letters are the chanter's notes.
KEYS = ("HP", "Hp", "D", "Bm", "Amix", "E dorian")
PLANS = ("AB", "ABA", "AABB", "(AB)2", "A2B", "(A.B)2A", "((AB)2B)2", "BA3")


@st.composite
def tunes(draw: st.DrawFn) -> str:
    """A whole tune X:1, with a part plan or without."""
    meter = draw(st.sampled_from(sorted(METERS)))
    beats = METERS[meter]
    plan = draw(st.sampled_from(("", *PLANS)))
    key = draw(st.sampled_from(KEYS))
    head = f"X:1\nT:Made up\nM:{meter}\nL:1/8\n"
    if not plan:
        stretches = [draw(sections(beats, opening=True)), *draw(st.lists(sections(beats), max_size=2))]
        return f"{head}K:{key}\n" + "\n".join(stretches) + "\n"
    parts = [draw(st.lists(sections(beats), min_size=1, max_size=2)) for _ in "AB"]
    body = "\n".join(f"P:{label}\n" + "\n".join(part) for label, part in zip("AB", parts, strict=True))
    return f"{head}P:{plan}\nK:{key}\n{body}\n"

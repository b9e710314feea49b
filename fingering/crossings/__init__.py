"""Analyses what sounds between two hole states when fingers do not move together: orders, noises, who was late.

Start at `transition` (two states and the fingers that move), `passing` (what each state on the way sounds), `orders`
and `teaching` (which orders are clean, which to teach), `timing` (what is heard when a finger is late), `noise` (which
crossing noise is likeliest), `hardness` (what hands find hard), `telling` (noises in words), `difficulty` (how likely
any foreign note is; needs numpy) and `blame` (from what was heard back to the finger).
"""

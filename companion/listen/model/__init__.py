"""The data of the ear: what was asked, what was played, findings, limits, and the words for them."""

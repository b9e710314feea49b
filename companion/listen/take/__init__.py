"""A whole take: whether it is one of the tune, the order of its parts, and how it is heard twice."""

"""The search while all goes as asked: few readings are open."""

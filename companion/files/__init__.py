"""Reads files that may hold anything, writes files whole, and knows the folders, streams and signals of the system."""

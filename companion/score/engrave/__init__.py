"""Engraving: a tune becomes MEI as pipers write it, and MEI becomes pages."""

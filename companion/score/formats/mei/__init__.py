"""Reads scores in MEI (Music Encoding Initiative, versions 3 to 5): the first staff that the chanter can play."""

"""Reading and writing files that may be anything: the bottom layer, which every reader and writer goes through."""

"""Settings that are kept from one day to the next: what is kept, and when it is written."""

"""What a take shows of another setting of its tune: changes that come back in every like place."""

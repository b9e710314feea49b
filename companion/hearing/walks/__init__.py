"""The likeliest way through what a chanter is learnt from: what it costs, exactly and nearly."""

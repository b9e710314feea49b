"""What was played becomes a tune on paper in the window: its unsure places decided, then saved and practised."""

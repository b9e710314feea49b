"""Headers and the settings that they make."""

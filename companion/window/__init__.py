"""The pygame window: draws view models, turns keys and clicks into intents."""

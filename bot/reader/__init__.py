"""Text to intents."""

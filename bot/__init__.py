"""Ovipost, the farm assistant: channels, storage and the talk around the shared rules core."""

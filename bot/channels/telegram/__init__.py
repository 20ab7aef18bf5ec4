"""Telegram: messages in by long polling or webhook, messages out over one pooled client."""

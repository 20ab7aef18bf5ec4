"""Telegram, terminal and replay."""

"""Alembic: how the tables of an earlier version become those of this one."""

"""SQLAlchemy tables, journal, inbox, outbox and migrations."""

"""All wording: answers, reminders, cautions."""

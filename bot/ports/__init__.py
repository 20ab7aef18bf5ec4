"""The records and roles that the parts of the front end share."""

"""The farm as the fold of its events, its climate and its consistency checks."""

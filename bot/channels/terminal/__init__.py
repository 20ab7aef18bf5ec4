"""A chat in a terminal: typed lines in, messages out above the line being typed."""

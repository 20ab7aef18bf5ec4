"""What the work asks for: chores, advice and cautions from a farm and a time."""

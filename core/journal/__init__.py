"""Farm events: one record a kind, their order and their JSON form."""

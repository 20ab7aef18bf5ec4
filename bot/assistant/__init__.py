"""One incoming message or due reminder into events and outgoing messages."""

"""One module a revision, never changed once it was released."""

"""One module for each revision, oldest first; a revision is never changed once released."""

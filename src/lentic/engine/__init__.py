"""Advance many members of any process table at once; it does not know that there are turtles."""

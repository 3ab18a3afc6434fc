"""Trial and error with discipline: one change, a prediction before it, a verdict after it."""

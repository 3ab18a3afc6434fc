"""Facts with unit, range, source and how they are known; it knows no keeper's tank."""

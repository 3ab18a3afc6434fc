"""The tank as components, processes, rates, jumps, drivers and observers; it does not know which numbers are right."""

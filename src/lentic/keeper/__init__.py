"""One function for each thing a person can ask; the only room that opens a store."""

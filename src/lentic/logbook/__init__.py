"""The tank's description, its events, the keeper's slips, the store and the folder format."""

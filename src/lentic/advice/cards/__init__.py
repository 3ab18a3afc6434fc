"""Cards to hand to someone: one A4 page each, filled with the numbers of one tank."""

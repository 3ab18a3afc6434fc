"""The weekly work at the tank: what is due, in an order that harms nobody, walked through with wet hands."""

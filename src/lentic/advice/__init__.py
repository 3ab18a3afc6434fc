"""What to do and why: balance, causes, plans; it knows no page, command or SQL."""

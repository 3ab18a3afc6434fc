"""Cards on paper: one A4 page that needs nothing else, as HTML in a single file and as PDF through a browser."""

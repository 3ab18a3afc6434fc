"""Drawings made on the server: pure functions from numbers to SVG with classes only."""

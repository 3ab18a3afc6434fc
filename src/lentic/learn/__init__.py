"""Priors, likelihood and fitting: which numbers fit this tank, and how well past forecasts did."""

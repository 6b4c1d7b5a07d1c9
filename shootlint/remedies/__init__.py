"""Levers, and the search for the least change that holds."""

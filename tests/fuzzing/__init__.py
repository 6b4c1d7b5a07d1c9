"""Hostile input: what holds of any of it, how it is made, and long runs guided by what of the program it reaches."""

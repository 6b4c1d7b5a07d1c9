"""A plan language for location portrait shoots, and a rules engine that judges a plan before anyone leaves."""

"""A plan that was read, judged by the rulebook that applies to it, with mends: what commands, the editor and programs begin with."""

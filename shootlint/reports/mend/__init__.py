"""The reports of `mend`: what would mend a plan, one file a kind."""

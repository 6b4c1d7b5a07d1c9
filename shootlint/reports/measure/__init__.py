"""The reports of `measure`: what a plan measures, one file a kind."""

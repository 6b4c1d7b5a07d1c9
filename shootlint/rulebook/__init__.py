"""Rule files to checked rules to findings; house style; accepted findings. Rules know limits and never how to measure."""

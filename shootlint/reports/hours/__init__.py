"""What `hours` tells, one file a kind of report, as for `check`."""

"""What the reports of `check` say of the plans in plans/, kept so that a change of it is seen."""

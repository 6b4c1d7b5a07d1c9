"""A module that cannot be loaded, for the tests of such faults."""

raise RuntimeError("this package was never finished")

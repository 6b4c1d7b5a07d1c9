"""The starter: the plan, kit and house.rules that `shootlint begin` writes, here to be read and run as they are."""

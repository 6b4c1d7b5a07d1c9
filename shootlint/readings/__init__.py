"""The catalogue of what can be measured. Readings wire the plan to physics and know no limit."""

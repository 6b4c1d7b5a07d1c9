"""The shipped rules, one file a rule. This file only makes the folder a package that can be shipped."""

"""The rules, one module for each family, each with `RULES` in the order in which they run."""

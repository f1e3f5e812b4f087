"""The declarations, one module for each topic, each with `FUNCTIONS`."""

"""Workbooks as contractors make them, generated from a seed: the same seed gives the same file."""

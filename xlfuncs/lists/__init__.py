"""What a sheet means: which lists stand in it, what each column is, and what its cells say."""

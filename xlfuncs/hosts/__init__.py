"""The programs in which the worksheet functions run, and recalculation without one: thin, no physics."""

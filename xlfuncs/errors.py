"""The errors that reach a user: one line that says what is wrong, where, and what to do."""


class XlfuncsError(Exception):
    """An expected failure; its text is shown as it stands, without a traceback."""

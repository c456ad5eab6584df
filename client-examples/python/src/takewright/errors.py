"""What may go wrong, in one line that says what to do."""


class Problem(Exception):
    """A problem to report to the user in one line."""

"""How a job of the night says why it failed."""


class JobFailed(Exception):
    """The job did not do its work. The sentence says why, to the office."""

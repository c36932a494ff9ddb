"""How a job of the night says why it failed."""


class JobFailed(Exception):
    """The job did not do its work. The sentence says why, to the office."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence

"""A refusal: what an act says when it will not do what was asked."""


class Refused(Exception):
    """Raised by acts; the pages show `sentence`, the commands print it, tests look at `code`.

    code      stable, dotted, for programs: "sign-off.point-unticked"
    sentence  for the person at the screen: what is wrong and what to do
    status    409 the records say otherwise, 422 the input can't be read, 403 not this person's to do
    """

    def __init__(self, code: str, sentence: str, status: int = 409) -> None:
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.status = status

"""What becomes of a claim that does not hold."""


class Refused(Exception):
    """A claim of a certificate is not borne out: which one, and why."""

    def __init__(self, claim: str, why: str) -> None:
        self.claim, self.why = claim, why
        super().__init__(f"{claim}: {why}")

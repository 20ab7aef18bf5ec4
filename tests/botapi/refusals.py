"""How the Bot API says no."""


class RefusedError(Exception):
    """The answer to a call that is not done; `parameters` are the documented ResponseParameters."""

    def __init__(self, code, description, **parameters):
        super().__init__(description)
        self.code = code
        self.description = description
        self.parameters = parameters


def bad(description):
    """Make a 400."""
    return RefusedError(400, f"Bad Request: {description}")

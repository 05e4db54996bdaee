"""Where a formula stops being valid, said out loud."""

from __future__ import annotations


class OutOfRange(ValueError):
    """A formula was asked for a value outside its validity.

    Attributes:
        argument: name of the argument at fault.
        value: what was given.
        limit: the condition it breaks, in words with its unit.
        hint: the nearest feasible choice, where there is one.
    """

    def __init__(self, argument: str, value: object, limit: str, hint: str | None = None) -> None:
        self.argument = argument
        self.value = value
        self.limit = limit
        self.hint = hint
        said = float(f"{value:.6g}") if isinstance(value, float) else value
        message = f"{argument} = {said}: {limit}"
        super().__init__(f"{message}; {hint}" if hint else message)

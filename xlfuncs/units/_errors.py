"""What `xlfuncs.units` raises. Each text is one line that says what is wrong and what to write."""


class UnitError(ValueError):
    """A unit or a quantity text that cannot be used."""


class AmbiguousUnit(UnitError):
    """A text with two readings; the message names both."""


class ImpossibleValue(UnitError):
    """A number that was understood and cannot be: 200 degrees of a scale that ends at 145."""

"""What is raised where something given does not fit, and the one form of its sentences."""

from __future__ import annotations


class AnchorsimError(ValueError):
    """Something given does not fit: an entry, a file or an argument.

    Every error of input derives from it.  The text says where, what is wrong, what fits and what to do.  How
    a spell ends is never an error, and workers that stopped are a :class:`RuntimeError`.

    Examples
    --------
    >>> import anchorsim
    >>> try:
    ...     anchorsim.Scenario().vary({"tackle.scope": "7"})
    ... except anchorsim.AnchorsimError as error:
    ...     print(error)
    tackle.scope (Scope): "7" is not a number. Expected 1.2 to 30. Write 7 without quotation marks.
    """


class ArgumentError(AnchorsimError):
    """An argument of a public function that does not fit; the text begins with its name.

    Examples
    --------
    >>> import anchorsim
    >>> try:
    ...     anchorsim.simulate(anchorsim.Scenario(), windage=-1.0)
    ... except anchorsim.ArgumentError as error:
    ...     print(error)
    windage: -1.0 is out of range. Expected a factor above 0, such as 1.0. Change windage.
    """


class TableError(AnchorsimError, LookupError):
    """A name that the table asked for does not hold.

    Examples
    --------
    >>> from anchorsim.core.tables import pick
    >>> try:
    ...     pick("scopes", rode="wire", use="usual")
    ... except TableError as error:
    ...     print(error)
    rode in data/scopes.csv: "wire" is not known. Expected one of chain, combination. Choose one of them.
    """


def sentence(wrong: str, expected: str = "", action: str = "", got: str = "") -> str:
    """What is said of something that does not fit, where it is said of being left to the caller.

    >>> sentence("too shallow", "at least 2 m", "choose deeper water", got="1.5 m")
    'too shallow. Expected at least 2 m; got 1.5 m. Choose deeper water.'
    """
    given = f"; got {got}" if got else ""
    fits = f"Expected {expected}{given}{'' if expected.endswith('?') else '.'}" if expected else ""
    do = f"{action[:1].upper()}{action[1:]}." if action else ""
    return " ".join(filter(None, [f"{wrong}.", fits, do]))

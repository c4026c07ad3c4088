"""What is raised where a report or a handout cannot be written."""

from anchorsim.core.errors import AnchorsimError


class ReportError(AnchorsimError):
    """A report or handout that cannot be written.

    Examples
    --------
    >>> import anchorsim
    >>> try:
    ...     anchorsim.write_report(anchorsim.Scenario(), "report.odt")
    ... except anchorsim.ReportError as error:
    ...     print(str(error).split(". ")[0])
    "report.odt": unknown kind of file
    """

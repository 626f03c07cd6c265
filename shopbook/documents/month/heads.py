"""The heads of a section's columns, one for its labels and one for each figure."""

from shopbook.documents.month.section import Section


def figures_of(section: Section) -> int:
    """How many figures its rows have at most."""
    return max((len(row.figures) for row in (*section.rows, *([section.total] if section.total else []))), default=0)


def heads_of(section: Section) -> tuple[str, ...]:
    """The head of the labels, then that of each figure; where a section names its figures alone, the first is empty."""
    figures = figures_of(section)
    if len(section.heads) == figures + 1:
        return section.heads
    return ("", *(section.heads or ("",) * figures))

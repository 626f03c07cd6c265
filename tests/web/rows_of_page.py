"""A page as the rows that an eye takes together: table rows, list items, terms with their figures, sentences."""

from html.parser import HTMLParser

ROWS = {"tr", "li", "p", "dt", "option", "label", "h1", "h2"}
BREAKS = {"a", "button", "div", "section", "form", "td", "legend", "summary", "details", "main", "header", "nav"}
SKIPPED = {"script", "style", "head", "svg"}


class _Rows(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._text: list[str] = []
        self._row = ""
        self._depth = 0
        self._skipped = 0

    def _close(self) -> None:
        text = " ".join(" ".join(self._text).split())
        if text:
            self.found.append(text)
        self._text, self._row, self._depth = [], "", 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._skipped += tag in SKIPPED
        if self._row:
            self._depth += tag == self._row
        elif tag in ROWS | BREAKS:
            self._close()
            if tag in ROWS:
                self._row, self._depth = ("dd" if tag == "dt" else tag), int(tag != "dt")

    def handle_endtag(self, tag: str) -> None:
        self._skipped -= tag in SKIPPED
        if self._row:
            self._depth -= tag == self._row
            if tag == self._row and self._depth <= 0:
                self._close()
        elif tag in BREAKS:
            self._close()

    def handle_data(self, data: str) -> None:
        if not self._skipped:
            self._text.append(data)


def rows_of(page: str) -> list[str]:
    """The rows of a page's text in order; a term and its figure are one."""
    parser = _Rows()
    parser.feed(page)
    parser._close()
    return parser.found

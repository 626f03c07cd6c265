"""Where a press leads on to, when the page that led here asked for it."""


def safe_path(wanted: str | None) -> str | None:
    """One of our own paths to continue to, or None; other addresses are never followed."""
    if not wanted or not wanted.startswith("/") or wanted[1:2] in {"/", "\\"} or any(mark < " " for mark in wanted):
        return None
    return wanted

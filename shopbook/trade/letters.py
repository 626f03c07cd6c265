"""The first letter of what is said: large at the beginning of a sentence, small inside one."""


def upper_first(words: str) -> str:
    """With a large first letter; the rest stays as it is, for it may hold a name."""
    return words[:1].upper() + words[1:]


def lower_first(words: str) -> str:
    """With a small first letter; the rest stays as it is, for it may hold a name."""
    return words[:1].lower() + words[1:]


def plain_code(code: str) -> str:
    """A code said plainly where nothing has a name for it: "clear_medium" is "Clear medium"."""
    return code.replace("_", " ").capitalize()

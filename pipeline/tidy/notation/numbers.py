"""Numbers as text, both ways the same."""


def say_number(value: float, decimal: str = ".") -> str:
    """``value`` in plain digits, never with an exponent, with the given decimal sign."""
    if value == int(value):
        return str(int(value))
    text = repr(value)
    if "e" in text:
        text = f"{value:.20f}".rstrip("0")
    return text.replace(".", decimal)

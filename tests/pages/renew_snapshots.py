"""Write the kept drawings anew: ``python -m tests.pages.renew_snapshots``; look at what changed."""

from tests.pages.book import make_book
from tests.pages.snapshots import KEPT, draw_snapshots


def renew() -> None:
    """Replace every kept drawing and remove those that nothing draws any more."""
    drawings, _ = draw_snapshots(make_book())
    KEPT.mkdir(exist_ok=True)
    for path in KEPT.glob("*.svg"):
        if path.stem not in drawings:
            path.unlink()
            print("removed", path.name)
    for name, text in drawings.items():
        path = KEPT / f"{name}.svg"
        if not path.exists() or path.read_text("utf-8") != text:
            path.write_text(text, "utf-8")
            print("wrote", path.name)


if __name__ == "__main__":
    renew()

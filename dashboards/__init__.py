"""The pages: what exists for a book, and each as one self-contained HTML file.

>>> for page in list_pages(book):
...     text = render_page(page, book)
"""

from dashboards.catalogue import list_pages, render_page
from dashboards.frame import PageId

__all__ = ["PageId", "list_pages", "render_page"]

"""One module a page. A lifter's page has ``build_page(book, lifter)``, the others ``(book)``."""

"""Field pages: a request and a book in; a template's name, its context and new events out."""

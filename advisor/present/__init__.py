"""Documents made readable: text for the terminal, pages for the wall, drawings. Nothing here asks or decides."""

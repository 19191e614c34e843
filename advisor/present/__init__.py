"""How documents look: as text on a screen, by screens, as pages for the wall, and in pictures. Nothing here prints or asks."""

__all__ = ["drawing", "pages", "screens", "text"]

"""The classroom: one page of runs that moves on any phone, and handing it out in the room.

Door: class_runs, page, serve.
"""

from anchorsim.classroom.page import class_page

__all__ = ["class_page"]

"""What the page says before there is a kernel, and the names of its pages; it is imported in no time."""

from __future__ import annotations

PAGES = (
    ("start", "Start", "Where to begin, and what was opened before"),
    ("swing", "Swing", "How she lies and what the gear carries"),
    ("odds", "Odds", "Limits, what helps and what matters"),
    ("night", "Night", "Hour by hour through a forecast"),
    ("compare", "Compare", "Set-ups side by side"),
    ("survey", "Survey", "Inspect the ground tackle part by part"),
    ("lessons", "Lessons", "Predict, play, explain: for a class"),
)
"""The pages of the explorer: key, name, help."""

STARTING = ("Preparing", "The first start takes up to a minute.")
"""A word and a sentence, until there is an outcome."""

SURVEY = "Survey of the ground tackle"

LESSON = "Lesson"

ABOUT = "See how a boat behaves at anchor in gusts."
"""What the program is for."""

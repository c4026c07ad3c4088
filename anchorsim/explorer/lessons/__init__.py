"""The explorer's lessons: question, prediction, boats on one clock, and what came out."""

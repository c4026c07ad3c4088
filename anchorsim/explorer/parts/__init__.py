"""The parts that all screens are made of: each an anywidget, its script beside it, its looks in one sheet.

Door: amount, around, cards, dial, fold, head, strip.
"""

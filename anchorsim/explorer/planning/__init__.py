"""The explorer's planning screens: odds, limits, night, comparison."""

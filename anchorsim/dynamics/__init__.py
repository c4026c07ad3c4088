"""The boat, her rode and her anchor in motion: one spell of weather integrated in time."""

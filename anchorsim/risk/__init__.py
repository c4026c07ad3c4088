"""Many spells: chances of dragging and breaking, swinging circle, limits, sensitivity, comparison."""

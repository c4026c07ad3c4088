"""Every sentence that people read, and the one place beneath the screens that knows the unit system."""

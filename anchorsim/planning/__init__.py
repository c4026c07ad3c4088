"""What to change and when to leave: measures tried on the same spells, and a night hour by hour."""

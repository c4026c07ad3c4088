"""What shows that the computation is right: published values, the full line, measured trials."""

"""Benchmarks: ratios side by side in one run."""

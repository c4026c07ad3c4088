"""What shows that the computation is right: published values, the full line, measured trials.

Door: catenary, full_line_cases, published, spectra, trials.
"""

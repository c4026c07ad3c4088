"""Wind, waves and tide, as published spectra, growth laws and harmonic rules have them."""

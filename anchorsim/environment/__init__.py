"""Wind, waves and tide, by published spectra, growth laws and tables.

Door: sea_state, tide, turbulence, wind_record.
"""

"""What a person describes: vessel, gear, site, weather, findings, hazards; frozen, with limits.

Door: findings, fittings, forecast, hazards, hull_form, own_boat, paths, placing, recorded_wind, scenario,
site, tackle, vessel, weather.
"""

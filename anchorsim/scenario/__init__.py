"""What a person describes: vessel, gear, site, weather, findings, hazards; frozen, with limits.

Door: findings, fittings, forecast, hazards, hull_form, recorded_wind, scenario, site, tackle, vessel,
weather.
"""

"""What a person describes: vessel, ground tackle, site, weather, findings, hazards; frozen, with limits."""

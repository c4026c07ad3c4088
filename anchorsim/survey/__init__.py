"""What a survey's findings come to: weakest link, suitability, recommendations, maintenance.

Door: maintenance, recommendations, suitability, weakest_link.
"""

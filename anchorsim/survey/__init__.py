"""What a survey's findings come to: weakest link, suitability, recommendations, maintenance.

Door: maintenance, recommendations, remedies, since_last, suitability, weakest_link.
"""

"""What a survey's findings come to: weakest link, suitability, recommendations, maintenance."""

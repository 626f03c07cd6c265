"""How the demo comes about: a half year of an invented shop told through services, its folder, serving it."""

"""Load test: little power first, then full load, held until it is proved."""

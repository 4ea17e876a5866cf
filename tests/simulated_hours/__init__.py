"""How well estimates learn in made-up shops whose true speeds nobody knows."""

"""What a shop may set: the shipped defaults and the only reader of the environment."""

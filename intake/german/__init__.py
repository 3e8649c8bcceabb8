"""German: findings and repairs, name by name beside the English wording modules."""

"""German: findings and repairs, name by name beside the English wording modules."""

from tickets.languages import add_sentences

add_sentences("de", "intake.german.sentences")

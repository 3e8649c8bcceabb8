"""Messages to customers: templates that the shop can change, and what is written with them."""
